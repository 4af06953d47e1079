import { Refusal } from '../../engine/input/refusal.ts';
import { SLOTS, type Slot } from '../../worklets/bench-messages.ts';
import { guitarAhead, type PlayedState, playedNetwork } from './played-network.ts';
import { playedConditions, type RestStates } from './rest-states.ts';

/** A build that cannot be played as the bench stands, and why not, in one sentence. */
export interface Unsolvable {
  readonly slot: Slot;
  readonly message: string;
}

/**
 * The first build that cannot be solved as it would be played, or with the pedal on, which plots and notes are made of;
 * undefined where both can. Takes some ten milliseconds for what is not known yet.
 *
 * @param rests Where rest states are known, and kept.
 */
export function unsolvable(state: PlayedState, rests: RestStates): Unsolvable | undefined {
  for (const slot of SLOTS) {
    const message = problemOf(state, slot, rests) ?? problemOf({ ...state, isBypassed: false }, slot, rests);
    if (message !== undefined) return { slot, message };
  }
  return undefined;
}

function problemOf(state: PlayedState, slot: Slot, rests: RestStates): string | undefined {
  const conditions = playedConditions({ ...state, instrument: guitarAhead(state) });
  try {
    rests.of(state.builds[slot], conditions, () => playedNetwork(state, slot));
    return undefined;
  } catch (error) {
    if (error instanceof Refusal) return error.message;
    throw error;
  }
}
