import { GROUND_NET } from '../circuits/circuit-nets.ts';
import type { GridPoint } from '../circuits/part-spec.ts';
import { textWidth } from '../drawing/text-width.ts';
import { LINE, TEXT_SIZE } from './picture.ts';
import { type LugName, lugName, type Wiring, type WiringItem } from './wiring.ts';
import { BOARD, isControl } from './wiring-of-build.ts';

/** Lugs of the controls nearest to the board, and the left edge of the board, grid steps. */
export const CONTROL_X = 24;
export const BOARD_X = 32;
/** First lug of the first control, and first pad. */
const TOP = 4;
/** Rows between controls, beside what they need. */
const CONTROL_GAP = 4;
/** Room for names of nets on the board. */
const MOST_NAME_STEPS = 17;
/** From the right edge of the board to the columns of hardware. */
export const NEAR = 18;
export const FAR = 33;
/** Row of a wire from the battery over the DC socket. */
const ABOVE_SOCKET = 4;
/** First row of the footswitch, and between rows. */
export const FOOT_Y = 32;
export const ROW = 4;

/** Places of all lugs and pads. */
export interface WiringPlaces {
  readonly at: ReadonlyMap<LugName, GridPoint>;
  /** Right edge of the board. */
  readonly edge: number;
  readonly bottom: number;
  /** Bends of wires that need no search: from controls to their pads. */
  readonly bends: ReadonlyMap<LugName, number>;
}

/** Name of a net on the drawing. */
export const netText = (net: string): string => (net === GROUND_NET ? 'ground' : net);

/** Where everything is: controls at the left of the board with a pad beside each lug, hardware at its right. */
export function wiringPlaces({ items, wires }: Wiring): WiringPlaces {
  const at = new Map<LugName, GridPoint>();
  const bends = new Map<LugName, number>();
  const controls = items.filter(isControl);
  let y = TOP;
  for (const item of controls) y = placeControl(item, y, at, bends);
  const left = padsOf(wires, controls);
  const others = items.filter((item) => !isControl(item) && item.ref !== BOARD);
  const right = padsOf(wires, others);
  const edge = BOARD_X + boardWidth(items, left, right);
  for (const [pad, lug] of left) at.set(pad, [BOARD_X, at.get(lug)![1] + (bends.get(lug) ?? 0)]);
  placeHardware(others, edge, at);
  placeRightPads(right, others, edge, at);
  const bottom = Math.max(...[...at.values()].map(([, lugY]) => lugY)) + 2;
  return { at, edge, bottom, bends };
}

/** Pads with the lug that each is wired to. */
function padsOf(wires: Wiring['wires'], items: readonly WiringItem[]): ReadonlyMap<LugName, LugName> {
  const lugs = new Set(items.flatMap((item) => item.lugs.map((lug) => lugName(item, lug))));
  return new Map(
    wires
      .filter(({ from, to }) => to.startsWith(`${BOARD}.`) && lugs.has(from))
      .map(({ from, to }) => [to, from] as const),
  );
}

function boardWidth(
  items: readonly WiringItem[],
  left: ReadonlyMap<LugName, LugName>,
  right: ReadonlyMap<LugName, LugName>,
): number {
  const board = items.find(({ ref }) => ref === BOARD)!;
  const widest = (pads: ReadonlyMap<LugName, LugName>) =>
    Math.max(
      5,
      ...board.lugs
        .filter((pad) => pads.has(lugName(board, pad)))
        .map(({ net }) => Math.min(MOST_NAME_STEPS, TEXT_SIZE * textWidth(netText(net!), 400))),
    );
  return Math.ceil(widest(left) + widest(right) + 4);
}

/** Rows of lugs of a switch are so far apart that the wires of all poles pass between them. */
function placeControl(
  item: WiringItem,
  top: number,
  at: Map<LugName, GridPoint>,
  bends: Map<LugName, number>,
): number {
  const { lugs, kind, poles = 1 } = item;
  let last = top;
  const pitch = kind === 'named-switch' ? 2 : Math.max(3, 2 * poles);
  const ofPole = lugs.length / poles;
  for (const [index, lug] of lugs.entries()) {
    const behind = poles - 1 - Math.floor(index / ofPole);
    const place: GridPoint = [CONTROL_X - 4 * behind, top + pitch * (index % ofPole)];
    at.set(lugName(item, lug), place);
    if (behind > 0) bends.set(lugName(item, lug), 2 * behind);
    last = Math.max(last, place[1] + 2 * behind);
  }
  return Math.max(last, top + LINE * textLines(item)) + CONTROL_GAP;
}

/** Lines of text beside a control, with breaks counted on the safe side. */
function textLines({ lines }: WiringItem): number {
  return lines.reduce((sum, text) => sum + Math.ceil((TEXT_SIZE * textWidth(text, 400)) / 12), 1);
}

/** Row of the status LED: that of the last pole of the footswitch. */
function ledRow(items: readonly WiringItem[]): number {
  const foot = items.find(({ kind }) => kind === 'footswitch');
  return foot ? FOOT_Y + ROW * (foot.lugs.length / 3 - 1) : FOOT_Y + ROW;
}

function placeHardware(items: readonly WiringItem[], edge: number, at: Map<LugName, GridPoint>): void {
  const led = ledRow(items);
  for (const item of items) {
    const places = hardwarePlaces(item, edge, led);
    for (const [index, lug] of item.lugs.entries()) at.set(lugName(item, lug), places[index]!);
  }
}

/** Lugs of jacks and battery are at their left; of the footswitch a row is a pole. */
function hardwarePlaces({ kind, lugs }: WiringItem, edge: number, led: number): readonly GridPoint[] {
  const [near, far] = [edge + NEAR, edge + FAR];
  const column = (x: number, rows: readonly number[]) => rows.map((y): GridPoint => [x, y]);
  switch (kind) {
    case 'DC socket':
      return [...column(near, [6, 10]), [near + 10, 8]];
    case 'battery':
      return column(far, [8, 12]);
    case 'input jack':
      return column(far, [18, 22, 26].slice(3 - lugs.length));
    case 'output jack':
      return column(far, [FOOT_Y + 6, FOOT_Y + 10]);
    case 'LED resistor':
      return [3, 8].map((x) => [edge + x, led]);
    case 'LED':
      return [10, 14].map((x) => [edge + x, led]);
    case 'footswitch':
      return lugs.map((_, index) => [near + 4 * (index % 3), FOOT_Y + ROW * Math.floor(index / 3)]);
    default:
      return lugs.map((_, index) => [near, FOOT_Y + 2 * index]);
  }
}

/** Each pad near the height of its lug, as its wire leaves the part; two rows apart, for their names. */
function placeRightPads(
  pads: ReadonlyMap<LugName, LugName>,
  items: readonly WiringItem[],
  edge: number,
  at: Map<LugName, GridPoint>,
): void {
  const foot = items.find(({ kind }) => kind === 'footswitch');
  const wanted = [...pads].map(([pad, lug]) => ({ pad, row: padRow(lug, foot, at.get(lug)![1]) }));
  let free = 0;
  for (const { pad, row } of wanted.sort((one, other) => one.row - other.row)) {
    const y = Math.max(free, Math.floor(row));
    at.set(pad, [edge, y]);
    free = y + 2;
  }
}

/** Of several that want one row, the least fraction comes first. */
function padRow(lug: LugName, foot: WiringItem | undefined, y: number): number {
  const index = foot?.lugs.findIndex((each) => lugName(foot, each) === lug) ?? -1;
  const last = FOOT_Y + ROW * ((foot?.lugs.length ?? 3) / 3 - 1);
  if (lug === 'battery.−') return ABOVE_SOCKET;
  if (lug === 'output jack.tip') return last + 6.6;
  if (lug === 'output jack.sleeve') return last + 6.8;
  if (index < 0 || index % 3 === 0) return y;
  const isFirst = index < 3;
  if (index % 3 === 1) return isFirst ? y - 2 : y === last ? y + 4 : y + 2;
  return isFirst ? y - 4 : last + 6.4 - 0.01 * index;
}
