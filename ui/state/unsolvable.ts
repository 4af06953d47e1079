import { Refusal } from '../../engine/input/refusal.ts';
import { SLOTS, type Slot } from '../../worklets/bench-messages.ts';
import { restOf } from '../swap/rest-of.ts';
import { type PlayedState, playedNetwork } from './played-network.ts';

/** A build that cannot be played in the present state, with the reason in one sentence. */
export interface Unsolvable {
  readonly slot: Slot;
  readonly message: string;
}

/**
 * The first build that cannot be solved as it is played, or with the pedal on, as plots need it; undefined if
 * both can. Takes about ten milliseconds, for stored builds; a swap is checked during its preparation.
 */
export function unsolvable(state: PlayedState): Unsolvable | undefined {
  for (const slot of SLOTS) {
    const message =
      problemOf(state, slot) ??
      (state.isBypassed ? problemOf({ ...state, isBypassed: false }, slot) : undefined);
    if (message !== undefined) return { slot, message };
  }
  return undefined;
}

function problemOf(state: PlayedState, slot: Slot): string | undefined {
  try {
    restOf(playedNetwork(state, slot));
    return undefined;
  } catch (error) {
    if (error instanceof Refusal) return error.message;
    throw error;
  }
}
