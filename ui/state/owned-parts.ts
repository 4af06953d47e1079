import { type Build, type BuildPart, buildParts, type PartSetting } from '../../engine/builds/build.ts';
import {
  type DrawerItem,
  isCovered,
  type Lacking,
  lackingAt,
  ownedValues,
  stockOf,
  wantedOf,
} from '../../engine/builds/drawer.ts';
import { withSettings } from '../../engine/builds/part-groups.ts';
import { isOnBoard, needName, type PartNeed } from '../../engine/builds/part-need.ts';
import { isSameSetting, withoutPiece, withType, withValue } from '../../engine/builds/part-setting.ts';
import {
  nearestPair,
  nearestValue,
  pairText,
  pairValue,
  type ValuePair,
} from '../../engine/builds/value-pairs.ts';
import { isSameCircuit } from '../../engine/circuits/circuit.ts';
import { hasType, quantityOf } from '../../engine/circuits/part-values.ts';
import { typesOf } from '../../engine/parts/catalogue.ts';
import { typeName } from '../../engine/parts/piece.ts';
import { POT_LAWS, type PotLaw } from '../../engine/units/taper.ts';
import { formatValue } from '../../engine/units/value-code.ts';
import type { Slot } from '../../worklets/bench-messages.ts';
import type { BenchState } from './bench-state.ts';
import { refsChangedWith } from './reach.ts';

/** Values or types that are offered at a place; undefined where all are. */
export type Offered = readonly string[] | undefined;

/** Asked for at each drawing of a card, for bags and builds that stay the same. */
const known = new WeakMap<readonly DrawerItem[], WeakMap<Build, Map<string, readonly string[]>>>();

/** Bags to choose from alone; undefined while everything is offered. */
export function onlyOwned({ drawer }: Pick<BenchState, 'drawer'>): readonly DrawerItem[] | undefined {
  return drawer.isOnly ? drawer.items : undefined;
}

/**
 * What the drawer has for a part and those that change with it, values rising, types in the order of the catalogue: each as often
 * as the whole build needs it then.
 */
export function offeredAt(state: BenchState, slot: Slot, part: BuildPart): Offered {
  const items = onlyOwned(state);
  if (!items || part.kind === 'supply') return undefined;
  const build = state.builds[slot];
  const refs = refsChangedWith(state, slot, part.ref);
  const ofItems = known.get(items) ?? new WeakMap<Build, Map<string, readonly string[]>>();
  known.set(items, ofItems);
  const lists = ofItems.get(build) ?? new Map<string, readonly string[]>();
  ofItems.set(build, lists);
  const key = `${part.ref} ${refs.join()}`;
  const offered = lists.get(key) ?? findOffered(items, build, part, refs);
  lists.set(key, offered);
  return offered;
}

function findOffered(
  items: readonly DrawerItem[],
  build: Build,
  { kind }: BuildPart,
  refs: readonly string[],
): readonly string[] {
  const words = hasType(kind)
    ? typesOf(kind).filter((type) =>
        items.some((item) => item.type === type || type.startsWith(`${item.type} `)),
      )
    : ownedValues(items, kind);
  return words.filter((word) => {
    const changed = refs.map((ref) => [ref, withWord(build.parts[ref] ?? {}, word, hasType(kind))] as const);
    return isCovered(items, withSettings(build, Object.fromEntries(changed)), refs);
  });
}

/** Tapers in which the drawer has the potentiometer of a place; undefined while everything is offered. */
export function ownedLaws(state: BenchState, slot: Slot, ref: string): readonly PotLaw[] | undefined {
  const items = onlyOwned(state);
  if (!items) return undefined;
  const build = state.builds[slot];
  const setting = withoutPiece(build.parts[ref] ?? {});
  return POT_LAWS.filter((law) =>
    isCovered(items, withSettings(build, { [ref]: { ...setting, law } }), [ref]),
  );
}

function withWord({ fit: _, ...setting }: PartSetting, word: string, isType: boolean): PartSetting {
  return isType ? withType(setting, word) : withValue(setting, word);
}

/** What the drawer lacks at a place as it is, in a sentence; undefined where it has enough, or everything is offered. */
export function lackingText(state: BenchState, slot: Slot, ref: string): string | undefined {
  const items = onlyOwned(state);
  if (!items) return undefined;
  const lacking = lackingAt(items, state.builds[slot], [ref]);
  return lacking.length === 0 ? undefined : `${lacking.map(lackText).join('; ')}.`;
}

/** What a drawer has for a value that it lacks. */
export interface OwnedInstead {
  /** "4k7", "27k and 24k in series (exact)". */
  readonly text: string;
  /** The place with it; absent where the build stays as it is, or cannot hold it. */
  readonly setting?: PartSetting;
}

/** The nearest value and the nearest pair that the rest of the build leaves, for a resistor or capacitor that the drawer lacks. */
export function ownedInstead(state: BenchState, slot: Slot, ref: string): readonly OwnedInstead[] {
  const items = onlyOwned(state);
  const build = state.builds[slot];
  const setting = build.parts[ref];
  if (!items || setting?.value === undefined || setting.piggyback !== undefined) return [];
  const [lacking] = lackingAt(items, build, [ref]);
  if (!lacking) return [];
  const { left } = stockOf(items, wantedOf(build));
  const value = nearestValue(left, lacking.need);
  const pair = nearestPair(left, lacking.need);
  return [
    ...(value === undefined ? [] : [{ text: value, setting: withValue(setting, value) }]),
    ...(pair ? [{ text: pairText(pair), ...settingOfPair(lacking.need, setting, pair) }] : []),
  ];
}

/** A place with a pair: the second part in parallel is its piggyback part; two in series are the value that they make together. */
export function settingOfPair(
  { kind, value }: PartNeed,
  setting: PartSetting,
  pair: ValuePair,
): { readonly setting?: PartSetting } {
  if ((kind !== 'resistor' && kind !== 'capacitor') || setting.piggyback !== undefined) return {};
  if (pair.wiring === 'parallel') {
    const [larger, smaller] = pair.values;
    return { setting: { ...withValue(setting, larger), piggyback: smaller } };
  }
  const sum = pairValue(pair, kind);
  const isSame = value !== undefined && sum === formatValue(value, quantityOf(kind)!, 3);
  return isSame ? {} : { setting: withValue(setting, sum) };
}

function lackText({ need, quantity, owned }: Lacking): string {
  const measured = isOnBoard(need.kind) ? quantityOf(need.kind) : undefined;
  const what =
    need.value === undefined || measured === undefined
      ? typeName(need.type ?? '')
      : formatValue(need.value, measured);
  const name = needName(need);
  const have = owned === 0 ? 'you own none' : `you own ${owned}`;
  return `${what} ${name}: this build needs ${quantity}, ${have}`;
}

/** Why A and B cannot be compared with what is owned, in a sentence; undefined if they can. */
export function whyNotOwned(state: BenchState): string | undefined {
  if (!onlyOwned(state)) return undefined;
  const { builds } = state;
  const isOneCircuit = isSameCircuit(builds.a.circuit, builds.b.circuit);
  for (const slot of ['a', 'b'] as const) {
    const refs = buildParts(builds[slot].circuit)
      .map(({ ref }) => ref)
      .filter((ref) => !isOneCircuit || !isSameSetting(builds.a.parts[ref] ?? {}, builds.b.parts[ref] ?? {}));
    const lacking = lackingAt(onlyOwned(state)!, builds[slot], refs);
    if (lacking[0]) return `“Only what I own” is on. ${slot.toUpperCase()}: ${lackText(lacking[0])}.`;
  }
  return undefined;
}
