import { quantityOf } from '../circuits/part-values.ts';
import { formatValue } from '../units/value-code.ts';
import { type DrawerItem, fitness, isNeedUnknown, itemValue } from './drawer.ts';
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

/** A pair that is further off is no substitute; the wider usual tolerance of resistors and film. Common practice, no source. */
const MOST_ERROR = 0.1;
const MOST_PAIRS = 3;

/**
 * Pairs of parts of a drawer that make a missing value: resistors add in series, capacitors in parallel. The nearest ones come
 * first. Each part has the rating that the lone part would need: in series voltages and powers divide, in parallel the voltage
 * stays and the power divides.
 *
 * @param quantity How many such pairs are needed: of each part there must be as many.
 */
export function valuePairs(
  items: readonly DrawerItem[],
  need: PartNeed,
  quantity: number,
): readonly ValuePair[] {
  const { kind, value: wanted } = need;
  if (wanted === undefined || (kind !== 'resistor' && kind !== 'capacitor')) return [];
  const usable = usableParts(items, need);
  const pairs = usable.flatMap(({ value: one, count }, index) =>
    usable.slice(index).flatMap(({ value: other, count: others }, offset) => {
      const isEnough = offset === 0 ? count >= 2 * quantity : Math.min(count, others) >= quantity;
      return isEnough ? [added(kind, wanted, [other, one]), inverse(kind, wanted, [other, one])] : [];
    }),
  );
  return pairs
    .filter(({ error }) => Math.abs(error) <= MOST_ERROR)
    .sort((one, other) => Math.abs(one.error) - Math.abs(other.error))
    .slice(0, MOST_PAIRS);
}

/** Values of parts that could stand at the place but for their value, rising, with their counts. */
function usableParts(items: readonly DrawerItem[], need: PartNeed) {
  const counts = new Map<number, number>();
  for (const item of items) {
    const value = itemValue(item);
    if (item.kind !== need.kind || value === undefined) continue;
    const suits = fitness(item, { ...need, value });
    if (suits === 'no' || (suits === 'unrated' && !isNeedUnknown(need))) continue;
    counts.set(value, (counts.get(value) ?? 0) + item.count);
  }
  return [...counts].map(([value, count]) => ({ value, count })).sort((a, b) => a.value - b.value);
}

type Two = readonly [larger: number, smaller: number];

function added(kind: 'resistor' | 'capacitor', wanted: number, two: Two): ValuePair {
  return pairOf(kind, kind === 'resistor' ? 'series' : 'parallel', two, two[0] + two[1], wanted);
}

function inverse(kind: 'resistor' | 'capacitor', wanted: number, two: Two): ValuePair {
  const value = (two[0] * two[1]) / (two[0] + two[1]);
  return pairOf(kind, kind === 'resistor' ? 'parallel' : 'series', two, value, wanted);
}

function pairOf(
  kind: 'resistor' | 'capacitor',
  wiring: ValuePair['wiring'],
  two: Two,
  value: number,
  wanted: number,
): ValuePair {
  const text = (each: number) => formatValue(each, quantityOf(kind)!);
  return { wiring, values: [text(two[0]), text(two[1])], value, error: value / wanted - 1 };
}

/** "2k7 + 2k in series: 0.0 % off", "10k // 8k2: −4.1 %". */
export function pairText({ wiring, values, error }: ValuePair): string {
  const percent = `${Math.abs(100 * error).toFixed(1)} %`;
  const off = percent === '0.0 %' ? 'exact' : `${percent} ${error > 0 ? 'high' : 'low'}`;
  return `${values.join(' and ')} in ${wiring} (${off})`;
}
