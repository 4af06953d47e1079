import type { Build } from '../../engine/builds/build.ts';
import {
  type Chain,
  type ChainPedal,
  type ChainPlace,
  chainWith,
  LONE,
  placeIn,
} from '../../engine/builds/chain.ts';
import { chainTitle } from '../../engine/builds/chain-swaps.ts';
import { pedalPairs } from '../../engine/builds/pedal-pairs.ts';
import { SLOTS, type Slot } from '../../worklets/bench-messages.ts';

export type ChainPlaces = Readonly<Record<Slot, ChainPlace>>;

export const BOTH_ALONE: ChainPlaces = { a: LONE, b: LONE };

/** The part of the state that holds the chains: the pedal that is looked at on each side, and its place. */
export interface Sides {
  readonly builds: Readonly<Record<Slot, Build>>;
  readonly places: ChainPlaces;
}

export function isAlone(place: ChainPlace): boolean {
  return countIn(place) === 1;
}

export function countIn({ before, after }: ChainPlace): number {
  return before.length + 1 + after.length;
}

/** Index of the pedal that is looked at. */
export function indexIn({ before }: ChainPlace): number {
  return before.length;
}

export function chainOf({ builds, places }: Sides, slot: Slot): Chain {
  return chainWith(builds[slot], places[slot]);
}

export function pedalsOf(sides: Sides, slot: Slot): readonly ChainPedal[] {
  return chainOf(sides, slot).pedals;
}

/** Whether a side has the same builds, switches and cables, whichever pedal is looked at. */
export function arePedalsSame(one: Sides, other: Sides, slot: Slot): boolean {
  if (one.builds[slot] === other.builds[slot] && one.places[slot] === other.places[slot]) return true;
  const [before, now] = [pedalsOf(one, slot), pedalsOf(other, slot)];
  const isSame = (a: ChainPedal, b: ChainPedal) =>
    a.build === b.build && a.isOn === b.isOn && a.cableMetres === b.cableMetres;
  return before.length === now.length && before.every((pedal, index) => isSame(pedal, now[index]!));
}

/** The sides with other pedals on one, of which one is looked at. Pedals that stay are the same objects. */
export function withPedals(
  { builds, places }: Sides,
  slot: Slot,
  pedals: readonly ChainPedal[],
  index: number,
): Sides {
  const { build } = pedals[index]!;
  const place = placeIn({ pedals }, index);
  // The switch of a pedal alone is the bypass of the bench.
  const switched = pedals.length === 1 ? { ...place, isOn: true } : place;
  return { builds: { ...builds, [slot]: build }, places: { ...places, [slot]: switched } };
}

/** Another pedal of a side is looked at. The other side follows to the pedal that it is compared with, if there is one. */
export function lookingAt(sides: Sides, slot: Slot, index: number): Sides {
  const pedals = pedalsOf(sides, slot);
  if (!pedals[index] || index === indexIn(sides.places[slot])) return sides;
  const other: Slot = slot === 'a' ? 'b' : 'a';
  const looked = withPedals(sides, slot, pedals, index);
  const found = counterpart(sides, slot, index);
  if (found === undefined || found === indexIn(sides.places[other])) return looked;
  return withPedals(looked, other, pedalsOf(sides, other), found);
}

/** The pedal of the other side that a pedal is compared with; undefined where one side alone has it. */
function counterpart(sides: Sides, slot: Slot, index: number): number | undefined {
  const { both } = pedalPairs(chainOf(sides, 'a'), chainOf(sides, 'b'));
  const [own, other] = slot === 'a' ? ([0, 1] as const) : ([1, 0] as const);
  return both.find((pair) => pair[own] === index)?.[other];
}

/** "A", or in a chain "A, pedal 2". */
export function pedalName(places: ChainPlaces, slot: Slot, index: number): string {
  const letter = slot.toUpperCase();
  return isAlone(places[slot]) ? letter : `${letter}, pedal ${index + 1}`;
}

/** The pedals that are looked at: "pedal 2", "pedal 2 of A and pedal 1 of B"; undefined where both are alone. */
export function lookedText(places: ChainPlaces): string | undefined {
  if (isAlone(places.a) && isAlone(places.b)) return undefined;
  const [a, b] = [indexIn(places.a) + 1, indexIn(places.b) + 1];
  return a === b ? `pedal ${a}` : `pedal ${a} of A and pedal ${b} of B`;
}

/** "Mid lift into Plain build". */
export function sideTitle(sides: Sides, slot: Slot): string {
  return chainTitle(chainOf(sides, slot));
}

/** What the pedals of a side were loaded as, before any swap. */
export function originText(sides: Sides, slot: Slot): string {
  return pedalsOf(sides, slot)
    .map(({ build }) => build.start.title)
    .join(' into ');
}

/** Every pedal of both sides. */
export function allPedals(
  sides: Sides,
): readonly { readonly slot: Slot; readonly index: number; readonly pedal: ChainPedal }[] {
  return SLOTS.flatMap((slot) => pedalsOf(sides, slot).map((pedal, index) => ({ slot, index, pedal })));
}
