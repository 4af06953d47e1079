import { boardParts } from '../builds/board-parts.ts';
import { type Build, buildParts } from '../builds/build.ts';
import type { Chain } from '../builds/chain.ts';
import { isNeedUnknown } from '../builds/drawer.ts';
import { hardwareOf } from '../builds/hardware.ts';
import { isSameCircuit } from '../circuits/circuit.ts';
import { hardwareRow, ORDER_GROUPS, type OrderRow, rowOf } from './order-row.ts';
import { type PartStress, partStresses, stressKey } from './part-stress.ts';

/** A list of one pedal. */
export interface PedalOrder {
  readonly rows: readonly OrderRow[];
  /** Why there are no computed ratings, in a sentence; absent where there are. */
  readonly unrated?: string;
}

/**
 * What to order for each pedal of a chain, by groups and rising values, ratings from what each part sees in the chain. A pedal
 * without an operating point has no ratings, and those after it are rated without it.
 */
export function pedalOrders(chain: Chain, temperatureK: number): readonly PedalOrder[] {
  const stresses = partStresses(chain, temperatureK);
  return chain.pedals.map(({ build }, position) => {
    const own = stresses[position]!;
    if (typeof own === 'string')
      return { rows: orderRows(build), unrated: `The ratings are not computed: ${own}` };
    const rows = orderRows(build, own);
    const silent = stresses
      .slice(0, position)
      .flatMap((each, index) => (typeof each === 'string' ? [index + 1] : []));
    return silent.length === 0 ? { rows } : { rows, unrated: ratedWithout(silent) };
  });
}

function ratedWithout(numbers: readonly number[]): string {
  return numbers.length === 1
    ? `Rated as if pedal ${numbers[0]} were off, since that has no operating point.`
    : `Rated as if pedals ${numbers.join(' and ')} were off, since those have no operating point.`;
}

/**
 * What another pedal needs that this one does not have: the parts to buy for a swap. Of one circuit, place by place; of two, by
 * number.
 */
export function swapOrder(from: PedalOrder, to: PedalOrder, builds: readonly [Build, Build]): PedalOrder {
  const isOneCircuit = isSameCircuit(builds[0].circuit, builds[1].circuit);
  const rows = to.rows.flatMap((row) => {
    const old = from.rows.filter((other) => keyOf(other) === keyOf(row) && suffices(other, row));
    const had = old.reduce((sum, { quantity }) => sum + quantity, 0);
    if (isOneCircuit && row.group !== 'Off the board') return moved(row, old);
    const quantity = row.quantity - had;
    return quantity > 0 ? [{ ...row, quantity }] : [];
  });
  const unrated = to.unrated ?? from.unrated;
  return { rows, ...(unrated !== undefined && { unrated }) };
}

/** Whether parts of one line have at least the ratings that another asks for; what is not known on a side is not compared. */
function suffices({ need: given }: OrderRow, { need: wanted }: OrderRow): boolean {
  const { ratedV = 0, ratedW = 0 } = wanted ?? {};
  return (given?.ratedV ?? ratedV) >= ratedV && (given?.ratedW ?? ratedW) >= ratedW;
}

/** The places of a row where the other build has something else. */
function moved(row: OrderRow, old: readonly OrderRow[]): readonly OrderRow[] {
  const before = countsOf(old.flatMap(({ refs }) => refs));
  const refs: string[] = [];
  for (const ref of row.refs) {
    const left = before.get(ref) ?? 0;
    if (left > 0) before.set(ref, left - 1);
    else refs.push(ref);
  }
  return refs.length === 0 ? [] : [{ ...row, refs, quantity: refs.length }];
}

/** Several pedals together: equal lines become one, with the highest rating; those without a rating stay apart. */
export function joinedOrder(orders: readonly PedalOrder[]): PedalOrder {
  const unrated = orders
    .flatMap((order, index) => (order.unrated === undefined ? [] : [`Pedal ${index + 1}: ${order.unrated}`]))
    .join(' ');
  return { rows: joined(numbered(orders)), ...(unrated !== '' && { unrated }) };
}

/** Places with the number of their pedal; notes on hardware too, where pedals have others on the same. */
function numbered(orders: readonly PedalOrder[]): readonly OrderRow[] {
  const all = orders.flatMap(({ rows }) => rows);
  const isShared = (row: OrderRow) =>
    all.every((other) => keyOf(other) !== keyOf(row) || other.package === row.package);
  return orders.flatMap(({ rows }, index) =>
    rows.map((row) => ({
      ...row,
      refs: row.refs.map((ref) => `${index + 1}:${ref}`),
      ...(row.group === 'Off the board' &&
        !isShared(row) && { package: `pedal ${index + 1}: ${row.package}` }),
    })),
  );
}

function keyOf({ kind, value }: OrderRow): string {
  return `${kind}\n${value}`;
}

function joined(rows: readonly OrderRow[]): readonly OrderRow[] {
  const known = new Map<string, OrderRow>();
  for (const row of rows) {
    const key = `${keyOf(row)}\n${row.need !== undefined && isNeedUnknown(row.need)}`;
    const same = known.get(key);
    known.set(key, same ? joinRows(same, row) : row);
  }
  return inOrder([...known.values()]);
}

function joinRows(one: OrderRow, other: OrderRow): OrderRow {
  const higher = strictness(other) > strictness(one) ? other : one;
  const both = { quantity: one.quantity + other.quantity, refs: [...one.refs, ...other.refs] };
  if (one.group !== 'Off the board' || one.package === other.package) return { ...higher, ...both };
  return { ...one, ...both, package: `${one.package}; ${other.package}` };
}

function strictness({ need }: OrderRow): number {
  return need?.ratedV ?? need?.ratedW ?? 0;
}

function inOrder(rows: readonly OrderRow[]): readonly OrderRow[] {
  const place = ({ group }: OrderRow) => ORDER_GROUPS.indexOf(group);
  return [...rows].sort((one, other) => place(one) - place(other) || valueInOrder(one) - valueInOrder(other));
}

/** Hardware stays in its own order. */
function valueInOrder({ group, need }: OrderRow): number {
  return group === 'Off the board' ? 0 : (need?.value ?? 0);
}

/** How often each place is named: a string of two diodes names one twice. */
function countsOf(refs: readonly string[]): Map<string, number> {
  const counts = new Map<string, number>();
  for (const ref of refs) counts.set(ref, (counts.get(ref) ?? 0) + 1);
  return counts;
}

/** The lines of one pedal. @param stresses What each part sees, by its key; without it there are no ratings. */
export function orderRows(build: Build, stresses?: ReadonlyMap<string, PartStress>): readonly OrderRow[] {
  const order = new Map(buildParts(build.circuit).map(({ ref }, index) => [ref, index]));
  const parts = [...boardParts(build)]
    .filter(({ kind }) => kind !== 'supply')
    .sort((one, other) => (order.get(one.ref) ?? 0) - (order.get(other.ref) ?? 0));
  return joined([
    ...parts.map((part) => rowOf(part, stresses?.get(stressKey(part.ref, part.isPiggyback)))),
    ...hardwareOf(build).map(hardwareRow),
  ]);
}

/** Places in a few words: a string of two diodes is "D2 (2)". */
export function placesText(refs: readonly string[]): string {
  return [...countsOf(refs)].map(([ref, count]) => (count === 1 ? ref : `${ref} (${count})`)).join(', ');
}
