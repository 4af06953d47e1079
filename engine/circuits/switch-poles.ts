import type { SwitchSpec } from './part-spec.ts';

/** One pole of a switch: its middle lug, and what each end of the throw joins it to. */
export interface Pole {
  readonly common: string;
  readonly ends: readonly [string | undefined, string | undefined];
}

/** A switch as it is sold: poles side by side, and the end of the throw that each position joins; none for "off". */
export interface Poles {
  readonly poles: readonly Pole[];
  readonly endOf: ReadonlyMap<string, 0 | 1 | undefined>;
}

type Pair = readonly [string, string];

/**
 * The poles of a switch of two throws, on-on, on-off or on-off-on; undefined for any other, such as a rotary one, whose lugs have
 * no common order.
 */
export function polesOf({ pins, positions }: SwitchSpec): Poles | undefined {
  const endOf = endsOf(positions);
  if (!endOf) return undefined;
  const poles = groupsOf(pins, Object.values(positions).flat()).map((group) =>
    poleOf(group, positions, endOf),
  );
  return poles.every((pole) => pole !== undefined) ? { poles, endOf } : undefined;
}

function endsOf(positions: SwitchSpec['positions']): Poles['endOf'] | undefined {
  const names = Object.keys(positions);
  if (names.length === 2) return new Map([[names[0]!, 0] as const, [names[1]!, 1] as const]);
  const on = names.filter((name) => positions[name]!.length > 0);
  if (names.length !== 3 || on.length !== 2) return undefined;
  return new Map(names.map((name) => [name, ([0, 1] as const)[on.indexOf(name)]]));
}

/** Pins that some position joins, in the order of the switch. */
function groupsOf(pins: readonly string[], pairs: readonly Pair[]): readonly (readonly string[])[] {
  const groups = pins.map((pin) => new Set([pin]));
  for (const [a, b] of pairs) {
    const one = groups.findIndex((group) => group.has(a));
    const other = groups.findIndex((group) => group.has(b));
    if (one === other) continue;
    for (const pin of groups[other]!) groups[one]!.add(pin);
    groups.splice(other, 1);
  }
  return groups.map((group) => pins.filter((pin) => group.has(pin)));
}

function poleOf(
  group: readonly string[],
  positions: SwitchSpec['positions'],
  endOf: Poles['endOf'],
): Pole | undefined {
  const ownPairs = Object.entries(positions).map(
    ([name, pairs]) => [name, pairs.filter(([a]) => group.includes(a))] as const,
  );
  const all = ownPairs.flatMap(([, pairs]) => pairs);
  const common = group.find((pin) => all.every((pair) => pair.includes(pin)));
  if (common === undefined || ownPairs.some(([, pairs]) => pairs.length > 1)) return undefined;
  const ends: [string | undefined, string | undefined] = [undefined, undefined];
  for (const [name, [pair]] of ownPairs) {
    const end = endOf.get(name);
    if (pair && end !== undefined) ends[end] = pair[0] === common ? pair[1] : pair[0];
  }
  return { common, ends };
}

const COUNTS = ['SP', 'DP', '3P', '4P'] as const;

/** "DPDT", "SPST". @param isSingle Whether no pole has a second end. */
export function switchName(poles: number, isSingle = false): string {
  return `${COUNTS[poles - 1] ?? `${poles}P`}${isSingle ? 'ST' : 'DT'}`;
}

/** "DPDT, on-off-on", "SPST, on-off". */
export function toggleText({ poles, endOf }: Poles): string {
  const isSingle = isSingleThrow(poles);
  const way = [...endOf.values()].includes(undefined) ? 'on-off-on' : isSingle ? 'on-off' : 'on-on';
  return `${switchName(poles.length, isSingle)}, ${way}`;
}

/** Whether no pole has a second end. */
export function isSingleThrow(poles: readonly Pole[]): boolean {
  return poles.every(({ ends }) => ends.includes(undefined));
}
