import type { GridPoint } from '../circuits/part-spec.ts';
import { type Box, boxAround, moved, overlap, pointBox, shifted, shiftedBox } from './geometry.ts';
import { lineBox } from './placed-part.ts';
import type { Sheet } from './sheet.ts';
import { textWidth } from './text-width.ts';

/** Size of a voltage's letters, grid steps. */
export const VOLT_SIZE = 0.85;
/** The widest voltage. */
const WIDEST = '−88.88 V';

/** Place of a net's voltage on the sheet. */
export interface VoltSpot {
  readonly net: string;
  /** Middle of the baseline. */
  readonly at: GridPoint;
  readonly box: Box;
  /** From the net to a voltage that found no room beside it; undefined for one that did. */
  readonly leader: readonly [GridPoint, GridPoint] | undefined;
}

interface Wire {
  readonly net: string;
  readonly from: GridPoint;
  readonly to: GridPoint;
}

/** Least distance from the own wire, and from all else, grid steps. */
const WIRE_GAP = 0.2;
const ROOM = 0.12;
/** Half the width of a wire's line. */
const HALF_LINE = 0.07;
/** Lengths of leaders that are tried, and the longest. */
const LEADER_STEP = 0.25;
const LONGEST_LEADER = 12;
const SIDES = ['up', 'down', 'right', 'left'] as const;
/** Shifts of a voltage above or below its point, as shares of its width. */
const SHIFTS = [0, 0.4, -0.4, 0.55, -0.55];

/**
 * Places for the voltages of all nets but ground, each once: beside its wires or pins where nothing else is, or else at the
 * end of a short straight leader that crosses wires only.
 *
 * @param nets In the order in which they choose. A net that is not on the sheet, or finds no place, has none.
 */
export function voltSpots(sheet: Sheet, nets: readonly string[]): readonly VoltSpot[] {
  const wires = wiresOf(sheet);
  const taken = takenBoxes(sheet);
  const lines = wires.map((wire) => ({ ...wire, box: lineOf(wire) }));
  const spots: VoltSpot[] = [];
  for (const net of nets) {
    const points = pointsOf(wires.filter((wire) => wire.net === net));
    const isFree = (box: Box) => !taken.some((each) => overlap(each, box));
    const meetsNoWire = (box: Box) => !lines.some((line) => overlap(line.box, box));
    const spot = firstSpot(net, points, (box) => isFree(box) && meetsNoWire(box), isFree);
    if (!spot) continue;
    spots.push(spot);
    taken.push(grown(spot.box));
    if (spot.leader) taken.push(lineOf({ from: spot.leader[0], to: spot.leader[1] }));
  }
  return spots;
}

function firstSpot(
  net: string,
  points: readonly GridPoint[],
  isRoom: (box: Box) => boolean,
  isPassable: (box: Box) => boolean,
): VoltSpot | undefined {
  for (let length = 0; length <= LONGEST_LEADER; length += LEADER_STEP) {
    for (const side of SIDES) {
      for (const point of points) {
        const end = moved(point, side, length);
        if (length > 0 && !isPassable(lineOf({ from: moved(point, side, WIRE_GAP), to: end }))) continue;
        for (const shift of side === 'up' || side === 'down' ? SHIFTS : [0]) {
          const spot = beside(net, end, side, shift);
          if (isRoom(grown(spot.box))) return { ...spot, leader: length > 0 ? [point, end] : undefined };
        }
      }
    }
  }
  return undefined;
}

/** Beside a point, on one side of it. */
function beside(
  net: string,
  [x, y]: GridPoint,
  side: (typeof SIDES)[number],
  shift: number,
): Omit<VoltSpot, 'leader'> {
  const width = VOLT_SIZE * textWidth(WIDEST, 400);
  const height = 0.72 * VOLT_SIZE;
  const gap = WIRE_GAP + HALF_LINE;
  const places: Readonly<Record<(typeof SIDES)[number], GridPoint>> = {
    up: [x + shift * width, y - gap],
    down: [x + shift * width, y + gap + height],
    right: [x + gap + width / 2, y + height / 2],
    left: [x - gap - width / 2, y + height / 2],
  };
  const at = places[side];
  const { left, right } = lineBox(at, 'middle', width);
  return { net, at, box: { left, right, top: at[1] - height, bottom: at[1] } };
}

/** Along the wires, from their middles outwards: labels at ends and corners are less clear. */
function pointsOf(wires: readonly Wire[]): readonly GridPoint[] {
  const byLength = [...wires].sort((a, b) => lengthOf(b) - lengthOf(a));
  return byLength.flatMap(({ from: [x, y], to: [toX, toY] }) => {
    const count = Math.max(1, 2 * lengthOf({ from: [x, y], to: [toX, toY] }));
    const shares = Array.from({ length: count + 1 }, (_, index) => index / count);
    shares.sort((a, b) => Math.abs(a - 0.5) - Math.abs(b - 0.5));
    return shares.map((share): GridPoint => [x + share * (toX - x), y + share * (toY - y)]);
  });
}

const lengthOf = ({ from: [x, y], to: [toX, toY] }: Omit<Wire, 'net'>): number =>
  Math.abs(toX - x) + Math.abs(toY - y);

/** All lines that belong to a net; a net whose pins touch has its pins alone. */
function wiresOf({ stages, links, flags }: Sheet): readonly Wire[] {
  return [
    ...links,
    ...flags.map(({ net, at, away }) => ({ net, from: at, to: moved(at, away) })),
    ...stages.flatMap(({ drawing, offset }) => [
      ...drawing.wires.flatMap(({ name, segments, ends }) => [
        ...segments.map(([from, to]) => ({
          net: name,
          from: shifted(from, offset),
          to: shifted(to, offset),
        })),
        ...ends.map((end) => ({ net: name, from: shifted(end, offset), to: shifted(end, offset) })),
      ]),
      ...drawing.flags.map(({ net, at, away }) => ({
        net,
        from: shifted(at, offset),
        to: shifted(moved(at, away), offset),
      })),
    ]),
  ];
}

function lineOf({ from, to }: Omit<Wire, 'net'>): Box {
  const { left, top, right, bottom } = boxAround([pointBox(from), pointBox(to)]);
  return {
    left: left - HALF_LINE,
    top: top - HALF_LINE,
    right: right + HALF_LINE,
    bottom: bottom + HALF_LINE,
  };
}

/** From a pin to the body of its part. */
function leadOf([x, y]: GridPoint, { left, top, right, bottom }: Box): Box {
  const inside: GridPoint = [Math.min(Math.max(x, left), right), Math.min(Math.max(y, top), bottom)];
  return lineOf({ from: [x, y], to: inside });
}

const grown = ({ left, top, right, bottom }: Box): Box => ({
  left: left - ROOM,
  top: top - ROOM,
  right: right + ROOM,
  bottom: bottom + ROOM,
});

/** What no voltage may cover, without the wires. */
function takenBoxes({ stages, flags, width, height }: Sheet): Box[] {
  const beyond = 100;
  return [
    { left: -beyond, top: -beyond, right: 0, bottom: height + beyond },
    { left: width, top: -beyond, right: width + beyond, bottom: height + beyond },
    { left: -beyond, top: -beyond, right: width + beyond, bottom: 0 },
    ...flags.map(({ box }) => box),
    ...stages.flatMap(({ drawing, offset, heading: [x, y] }) => [
      { left: x, top: y - 1, right: x + 0.8 * drawing.title.length, bottom: y + 0.3 },
      ...drawing.flags.map(({ box }) => shiftedBox(box, offset)),
      ...drawing.parts.flatMap(({ body, mark, pins, labels }) =>
        [
          boxAround(mark.map(pointBox)),
          ...pins.map(({ at }) => leadOf(at, body)),
          ...labels.map(({ box }) => box),
        ].map((box) => shiftedBox(box, offset)),
      ),
    ]),
  ];
}
