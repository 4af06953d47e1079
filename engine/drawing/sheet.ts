import type { GridPoint } from '../circuits/part-spec.ts';
import { type Box, shifted, shiftedBox } from './geometry.ts';
import { type Flag, portFlag, type StageDrawing } from './stage-drawing.ts';

/** A stage on the sheet: its drawing, and its offset. */
export interface PlacedStage {
  readonly drawing: StageDrawing;
  readonly offset: GridPoint;
  /** Start of the heading's baseline, in the sheet's coordinates. */
  readonly heading: GridPoint;
}

/** All stages of a circuit in rows, with the signal's path from each to the next. */
export interface Sheet {
  readonly stages: readonly PlacedStage[];
  /** Wires between neighbours of a row. */
  readonly links: readonly { readonly net: string; readonly from: GridPoint; readonly to: GridPoint }[];
  /** Input and output of the circuit, and places where the signal continues in another row. */
  readonly flags: readonly Flag[];
  readonly width: number;
  readonly height: number;
}

const STAGE_GAP = 2;
const HEADING_HEIGHT = 3;
/** Room for the flag of a path from or to another row. */
const FLAG_ROOM = 7;

/**
 * Arranges stages in rows, as many in a row as fit; neighbours are moved up or down so that the signal path is straight.
 *
 * @param widthLimit Grid steps; a wider stage has its own row.
 */
export function sheetOf(drawings: readonly StageDrawing[], widthLimit: number): Sheet {
  const rows = rowsOf(drawings, widthLimit);
  const stages: PlacedStage[] = [];
  const links: Sheet['links'][number][] = [];
  const flags: Flag[] = [];
  let top = 0;
  for (const row of rows) {
    const placed = placedRow(row, top);
    stages.push(...placed);
    for (const [index, { drawing, offset }] of placed.entries()) {
      const before = placed[index - 1];
      const after = placed[index + 1];
      const { input, output } = drawing;
      if (input) {
        const to = shifted(input.at, offset);
        if (before?.drawing.output)
          links.push({ net: input.net, from: shifted(before.drawing.output.at, before.offset), to });
        else flags.push(portFlag(input.net, 'in', to, 'left'));
      }
      if (output && !after?.drawing.input)
        flags.push(portFlag(output.net, 'out', shifted(output.at, offset), 'right'));
    }
    top =
      Math.max(...placed.map(({ drawing, offset }) => shiftedBox(drawing.bounds, offset).bottom)) + STAGE_GAP;
  }
  const right = (box: Box) => box.right;
  return {
    stages,
    links,
    flags,
    width: Math.ceil(
      Math.max(
        ...stages.map(({ drawing, offset }) => right(shiftedBox(drawing.bounds, offset))),
        ...flags.map(({ box }) => right(box)),
      ) + 1,
    ),
    height: Math.ceil(top),
  };
}

function rowsOf(drawings: readonly StageDrawing[], widthLimit: number): readonly (readonly StageDrawing[])[] {
  const rows: StageDrawing[][] = [];
  let width = 0;
  for (const drawing of drawings) {
    const own = drawing.bounds.right - drawing.bounds.left;
    const row = rows.at(-1);
    if (row && width + STAGE_GAP + own + FLAG_ROOM <= widthLimit) {
      row.push(drawing);
      width += STAGE_GAP + own;
    } else {
      rows.push([drawing]);
      width = FLAG_ROOM + own;
    }
  }
  return rows;
}

function placedRow(row: readonly StageDrawing[], rowTop: number): readonly PlacedStage[] {
  let x = row[0]?.input ? FLAG_ROOM : 0;
  let signalY: number | undefined;
  const loose = row.map((drawing) => {
    const { bounds, input, output } = drawing;
    const dx = Math.ceil(x - bounds.left);
    const dy = input && signalY !== undefined ? signalY - input.at[1] : -Math.floor(bounds.top);
    x = bounds.right + dx + STAGE_GAP;
    signalY = output ? output.at[1] + dy : undefined;
    return { drawing, dx, dy };
  });
  const highest = Math.min(...loose.map(({ drawing, dy }) => drawing.bounds.top + dy));
  const down = Math.ceil(rowTop + HEADING_HEIGHT - highest);
  return loose.map(({ drawing, dx, dy }) => {
    const offset: GridPoint = [dx, dy + down];
    const { left, top } = shiftedBox(drawing.bounds, offset);
    return { drawing, offset, heading: [left + 1, top - 0.8] };
  });
}
