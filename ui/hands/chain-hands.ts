import { indexIn, isAlone, pedalsOf } from '../state/chains.ts';
import type { HandTargets } from './hand-targets.ts';

type Bench = Pick<HandTargets, 'store' | 'act'>;

/** Switches a pedal of the chain that plays on or off; a pedal alone has the bypass of the bench. */
export function switchPedal({ store, act }: Bench, index: number): void {
  const { wanted } = store;
  const { heard: slot, places } = wanted;
  const pedal = isAlone(places[slot]) ? undefined : pedalsOf(wanted, slot)[index];
  if (pedal) act({ type: 'switchPedal', slot, index, isOn: !pedal.isOn });
}

/** Exchanges the pedal that is looked at and the next one, in the chain that plays; the last one and the one before. */
export function exchangePedals({ store, act }: Bench): void {
  const { heard: slot, places } = store.wanted;
  const place = places[slot];
  if (isAlone(place)) return;
  const from = indexIn(place);
  act({ type: 'movePedal', slot, from, to: place.after.length > 0 ? from + 1 : from - 1 });
}
