import type { Slot } from '../../worklets/bench-messages.ts';
import { countIn, indexIn, isAlone, pedalsOf } from '../state/chains.ts';
import type { HandTargets } from './hand-targets.ts';

type Bench = Pick<HandTargets, 'store' | 'act'>;

/** Switches a pedal of the chain that plays on or off; a pedal alone has the bypass of the bench. */
export function switchPedal({ store, act }: Bench, index: number): void {
  const { wanted } = store;
  const { heard: slot, places } = wanted;
  const pedal = isAlone(places[slot]) ? undefined : pedalsOf(wanted, slot)[index];
  if (pedal) act({ type: 'switchPedal', slot, index, isOn: !pedal.isOn });
}

/** Two neighbours in the chain of a side that have changed places. */
export interface SwappedPedals {
  readonly slot: Slot;
  readonly from: number;
  readonly to: number;
}

/**
 * Swaps the pedal that is looked at with the next one, in the chain that plays; the last one with the one before. Once more
 * brings the first order back.
 *
 * @param last The swap before.
 */
export function swapPedals(
  { store, act }: Bench,
  last: SwappedPedals | undefined,
): SwappedPedals | undefined {
  const { heard: slot, places } = store.wanted;
  const place = places[slot];
  if (isAlone(place)) return undefined;
  const from = indexIn(place);
  const next = place.after.length > 0 ? from + 1 : from - 1;
  const isBack = last?.slot === slot && last.to === from && last.from < countIn(place);
  const swapped = { slot, from, to: isBack ? last.from : next };
  act({ type: 'movePedal', ...swapped });
  return swapped;
}
