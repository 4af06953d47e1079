import type { GridPoint } from '../circuits/part-spec.ts';
import { type Box, boxAround, overlap, pointBox, shifted, shiftedBox } from './geometry.ts';
import { type Flag, portFlag, type StageDrawing } from './stage-drawing.ts';

/** A stage on the sheet: its drawing, and its offset. */
export interface PlacedStage {
  readonly drawing: StageDrawing;
  readonly offset: GridPoint;
  /** Start of the heading's baseline, in the sheet's coordinates. */
  readonly heading: GridPoint;
}

/** All stages of a circuit, with the signal's path from each to the next. */
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
/** Least room for the flag of a path from or to another row, and beyond its name. */
const FLAG_ROOM = 7;
const FLAG_GAP = 1;
/** With more stages in the signal's path not every division into rows is tried: 2^9 are tried at most. */
const MOST_DIVIDED = 10;

/**
 * Arranges stages on the lowest sheet of a width. The signal's path runs in rows from left to right, moved up or down so
 * that it is straight; supplies fill what is free beside and below it.
 *
 * @param widthLimit Grid steps; a wider stage has its own row.
 */
export function sheetOf(drawings: readonly StageDrawing[], widthLimit: number): Sheet {
  const path = drawings.filter(({ input, output }) => input ?? output);
  const supplies = drawings.filter((drawing) => !path.includes(drawing));
  const sheets = divisionsOf(path, widthLimit).map((rows) => filledSheet(rows, supplies, widthLimit));
  const lowest = sheets.reduce((best, sheet) => (sheet.height < best.height ? sheet : best));
  const place = ({ drawing }: PlacedStage) => drawings.indexOf(drawing);
  return { ...lowest, stages: [...lowest.stages].sort((one, other) => place(one) - place(other)) };
}

type Row = readonly StageDrawing[];

/** Ways to divide the path into rows of at most a width: first the one with as many stages in each row as fit. */
function divisionsOf(path: Row, widthLimit: number): readonly (readonly Row[])[] {
  const full = fullRows(path, widthLimit);
  if (path.length > MOST_DIVIDED) return [full];
  const all = Array.from({ length: 2 ** Math.max(0, path.length - 1) }, (_, bits) => divided(path, bits));
  return [
    full,
    ...all.filter(
      (rows) =>
        rows.length <= full.length + 1 && rows.every((row) => row.length < 2 || rowWidth(row) <= widthLimit),
    ),
  ];
}

/** @param bits One for each gap between stages: whether a row ends there. */
function divided(path: Row, bits: number): readonly Row[] {
  const rows: StageDrawing[][] = [];
  for (const [index, drawing] of path.entries()) {
    if (index === 0 || bits & (1 << (index - 1))) rows.push([drawing]);
    else rows.at(-1)!.push(drawing);
  }
  return rows;
}

function fullRows(path: Row, widthLimit: number): readonly Row[] {
  const rows: StageDrawing[][] = [];
  for (const drawing of path) {
    const row = rows.at(-1);
    if (row && rowWidth([...row, drawing]) <= widthLimit) row.push(drawing);
    else rows.push([drawing]);
  }
  return rows;
}

const widthOf = ({ bounds }: StageDrawing): number => bounds.right - bounds.left;

/** Width of a row with the flags at its ends, as `placedRow` places it. */
function rowWidth(row: Row): number {
  const shifts = rowShifts(row);
  const end = shifts.length === 0 ? 0 : row.at(-1)!.bounds.right + shifts.at(-1)!;
  return Math.ceil(end) + flagRoom(row.at(-1)?.output, 'out');
}

/** By how much each drawing of a row moves to the right: whole steps, so that its pins stay on the grid. */
function rowShifts(row: Row): readonly number[] {
  let x = flagRoom(row[0]?.input, 'in');
  return row.map(({ bounds }) => {
    const shift = Math.ceil(x - bounds.left);
    x = bounds.right + shift + STAGE_GAP;
    return shift;
  });
}

function flagRoom(end: { readonly net: string } | undefined, port: 'in' | 'out'): number {
  if (!end) return 0;
  const { left, right } = portFlag(end.net, port, [0, 0], port === 'in' ? 'left' : 'right').box;
  return Math.max(FLAG_ROOM, Math.ceil(right - left) + FLAG_GAP + 1);
}

function filledSheet(rows: readonly Row[], supplies: Row, widthLimit: number): Sheet {
  const stages: PlacedStage[] = [];
  const links: Sheet['links'][number][] = [];
  const flags: Flag[] = [];
  let top = 0;
  for (const row of rows) {
    const placed = placedRow(row, top);
    stages.push(...placed);
    addPath(placed, links, flags);
    top =
      Math.max(...placed.map(({ drawing, offset }) => shiftedBox(drawing.bounds, offset).bottom)) + STAGE_GAP;
  }
  const taken = [
    ...stages.map(takenBox),
    ...flags.map(({ box }) => box),
    ...links.map(({ from, to }) => boxAround([pointBox(from), pointBox(to)])),
  ];
  for (const drawing of supplies) {
    const stage = placedSupply(drawing, taken, widthLimit);
    stages.push(stage);
    taken.push(takenBox(stage));
  }
  const { right, bottom } = boxAround(taken);
  return { stages, links, flags, width: Math.ceil(right + 1), height: Math.ceil(bottom + STAGE_GAP) };
}

/** Links between neighbours of a row, and flags where the path enters and leaves it. */
function addPath(row: readonly PlacedStage[], links: Sheet['links'][number][], flags: Flag[]): void {
  for (const [index, { drawing, offset }] of row.entries()) {
    const before = row[index - 1];
    const { input, output } = drawing;
    if (input) {
      const to = shifted(input.at, offset);
      if (before?.drawing.output)
        links.push({ net: input.net, from: shifted(before.drawing.output.at, before.offset), to });
      else flags.push(portFlag(input.net, 'in', to, 'left'));
    }
    if (output && !row[index + 1]?.drawing.input)
      flags.push(portFlag(output.net, 'out', shifted(output.at, offset), 'right'));
  }
}

/** A stage with its heading. */
function takenBox({ drawing, offset }: PlacedStage): Box {
  const box = shiftedBox(drawing.bounds, offset);
  return { ...box, top: box.top - HEADING_HEIGHT };
}

/** At the highest free place, and there as far left as possible. */
function placedSupply(drawing: StageDrawing, taken: readonly Box[], widthLimit: number): PlacedStage {
  const width = widthOf(drawing);
  const height = drawing.bounds.bottom - drawing.bounds.top + HEADING_HEIGHT;
  const rightEnd = (left: number) =>
    Math.ceil(Math.ceil(left - drawing.bounds.left) + drawing.bounds.right + 1);
  const lefts = [0, ...taken.map(({ right }) => right + STAGE_GAP)]
    .filter((left) => left === 0 || rightEnd(left) <= widthLimit)
    .sort((a, b) => a - b);
  const tops = [0, ...taken.map(({ bottom }) => bottom)].sort((a, b) => a - b);
  for (const top of tops) {
    for (const left of lefts) {
      const room = { left: left - STAGE_GAP, top, right: left + width + STAGE_GAP, bottom: top + height };
      if (!taken.some((box) => overlap(box, room)))
        return placedStage(drawing, [
          Math.ceil(left - drawing.bounds.left),
          Math.ceil(top + HEADING_HEIGHT - drawing.bounds.top),
        ]);
    }
  }
  throw new RangeError('below all that is taken there is room');
}

function placedRow(row: Row, rowTop: number): readonly PlacedStage[] {
  const shifts = rowShifts(row);
  let signalY: number | undefined;
  const loose = row.map((drawing, index) => {
    const { bounds, input, output } = drawing;
    const dy = input && signalY !== undefined ? signalY - input.at[1] : -Math.floor(bounds.top);
    signalY = output ? output.at[1] + dy : undefined;
    return { drawing, dx: shifts[index]!, dy };
  });
  const highest = Math.min(...loose.map(({ drawing, dy }) => drawing.bounds.top + dy));
  const down = Math.ceil(rowTop + HEADING_HEIGHT - highest);
  return loose.map(({ drawing, dx, dy }) => placedStage(drawing, [dx, dy + down]));
}

function placedStage(drawing: StageDrawing, offset: GridPoint): PlacedStage {
  const { left, top } = shiftedBox(drawing.bounds, offset);
  return { drawing, offset, heading: [left + 1, top - 0.8] };
}
