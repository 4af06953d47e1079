import { quantityOf } from '../circuits/part-values.ts';
import { formatValue } from '../units/value-code.ts';
import { type DrawerItem, fitness, isNeedUnknown, itemValue, type Wanted } from './drawer.ts';
import type { PartNeed } from './part-need.ts';

/** Two parts that together have nearly a value. */
export interface ValuePair {
  readonly wiring: 'series' | 'parallel';
  /** Values as on the bag, the larger one first. */
  readonly values: readonly [string, string];
  /** Of the two together, in SI units. */
  readonly value: number;
  /** Share by which it is off: 0.01 for 1 % too much. */
  readonly error: number;
}

/** A pair that is offered so many times. */
export interface OfferedPair extends ValuePair {
  readonly count: number;
}

/** A pair that is further off is no substitute; the wider usual tolerance of resistors and film. Common practice, no source. */
const MOST_ERROR = 0.1;

/**
 * The two parts of a drawer that come nearest to a value: resistors add in series, capacitors in parallel. Each part has the rating
 * that the lone part would need: in series voltages and powers divide, in parallel the voltage stays and the power divides.
 *
 * @returns Undefined where none comes nearer than a tenth, and for a need that is no resistor and no capacitor.
 */
export function nearestPair(items: readonly DrawerItem[], need: PartNeed): ValuePair | undefined {
  return nearestTwo(
    items.map((item) => ({ item, count: item.count })),
    need,
  );
}

/** The value of a drawer that is nearest to the one needed, as a code, by ratio; undefined where it has none that could stand there. */
export function nearestValue(items: readonly DrawerItem[], need: PartNeed): string | undefined {
  const { value: wanted } = need;
  if (wanted === undefined) return undefined;
  const bags = items.map((item) => ({ item, count: item.count }));
  const off = ({ value }: Stock) => Math.abs(Math.log(value / wanted));
  return [...stockFor(bags, need)].sort((one, other) => off(one) - off(other))[0]?.code;
}

/** Pairs for each need of a list, as many as it asks for if the drawer has them. No part is given to two of them. */
export function allocatedPairs(
  items: readonly DrawerItem[],
  list: readonly Wanted[],
): readonly (readonly OfferedPair[])[] {
  const left = items.map((item) => ({ item, count: item.count }));
  return list.map(({ need, quantity }) => {
    const offered = new Map<string, OfferedPair>();
    for (let place = 0; place < quantity; place++) {
      const pair = nearestTwo(left, need);
      if (!pair) break;
      for (const value of pair.values) take(left, need, value);
      const key = pair.wiring + pair.values.join();
      offered.set(key, { ...pair, count: (offered.get(key)?.count ?? 0) + 1 });
    }
    return [...offered.values()];
  });
}

/** A bag and what is left of it. */
interface Bag {
  readonly item: DrawerItem;
  count: number;
}

/** What could stand at the place but for its value. */
function isUsable({ item, count }: Bag, need: PartNeed): boolean {
  const value = itemValue(item);
  if (count === 0 || item.kind !== need.kind || value === undefined) return false;
  const suits = fitness(item, { ...need, value });
  return suits === 'yes' || (suits === 'unrated' && isNeedUnknown(need));
}

function take(bags: readonly Bag[], need: PartNeed, value: string): void {
  const bag = bags.find((each) => each.item.value === value && isUsable(each, need));
  if (bag) bag.count--;
}

interface Stock {
  readonly value: number;
  readonly code: string;
  readonly count: number;
}

/** Values of usable parts, rising, with their counts. */
function stockFor(bags: readonly Bag[], need: PartNeed): readonly Stock[] {
  const stock = new Map<string, Stock>();
  for (const bag of bags) {
    if (!isUsable(bag, need)) continue;
    const code = bag.item.value!;
    const count = (stock.get(code)?.count ?? 0) + bag.count;
    stock.set(code, { value: itemValue(bag.item)!, code, count });
  }
  return [...stock.values()].sort((one, other) => one.value - other.value);
}

function nearestTwo(bags: readonly Bag[], need: PartNeed): ValuePair | undefined {
  const { kind, value: wanted } = need;
  if (wanted === undefined || (kind !== 'resistor' && kind !== 'capacitor')) return undefined;
  const stock = stockFor(bags, need);
  let best: ValuePair | undefined;
  const consider = (one: Stock, other: Stock | undefined, isSum: boolean) => {
    if (!other) return;
    const value = isSum ? one.value + other.value : (one.value * other.value) / (one.value + other.value);
    const error = value / wanted - 1;
    if (Math.abs(error) > MOST_ERROR || (best && Math.abs(error) >= Math.abs(best.error))) return;
    const values =
      one.value >= other.value ? ([one.code, other.code] as const) : ([other.code, one.code] as const);
    best = { wiring: isSum === (kind === 'resistor') ? 'series' : 'parallel', values, value, error };
  };
  for (const [index, one] of stock.entries()) {
    for (const other of around(stock, index, wanted - one.value)) consider(one, other, true);
    // 1/other = 1/wanted − 1/one
    const inverse =
      one.value > wanted ? (one.value * wanted) / (one.value - wanted) : Number.POSITIVE_INFINITY;
    for (const other of around(stock, index, inverse)) consider(one, other, false);
  }
  return best;
}

/** What is next below and above a value, to go with the one at an index: that one itself only where there are two. */
function around(stock: readonly Stock[], index: number, value: number): readonly (Stock | undefined)[] {
  let [low, high] = [0, stock.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (stock[middle]!.value < value) low = middle + 1;
    else high = middle;
  }
  const isSpare = (at: number) => at !== index || stock[at]!.count > 1;
  const above = low < stock.length && !isSpare(low) ? low + 1 : low;
  const below = low > 0 && !isSpare(low - 1) ? low - 2 : low - 1;
  return [stock[below], stock[above]];
}

/** "2k2 and 1k5 in series (exact)", "10k and 8k2 in parallel (4.1 % low)". */
export function pairText({ wiring, values, error }: ValuePair): string {
  const percent = `${Math.abs(100 * error).toFixed(1)} %`;
  const off = percent === '0.0 %' ? 'exact' : `${percent} ${error > 0 ? 'high' : 'low'}`;
  return `${values.join(' and ')} in ${wiring} (${off})`;
}

/** The value of a pair as a code of three figures. */
export function pairValue({ value }: ValuePair, kind: 'resistor' | 'capacitor'): string {
  return formatValue(value, quantityOf(kind)!, 3);
}
