import type { Slot } from '../../worklets/bench-messages.ts';
import type { Source } from '../audio/prepared-source.ts';
import type { BlindDesk } from '../ear/blind-desk.ts';
import type { Action } from '../state/bench-state.ts';
import type { BenchStore } from '../state/bench-store.ts';

/** What hands can reach of the bench. */
export interface HandTargets {
  readonly store: BenchStore;
  /** Does only what may happen now: the one gate for all that hands do. */
  readonly act: (action: Action) => void;
  readonly useSource: (source: Source) => Promise<void>;
  readonly blind: Pick<BlindDesk, 'press' | 'answerHeard'>;
  readonly showKeys: () => void;
  /** Whether a dialog is open. */
  readonly hasDialog: () => boolean;
}

/** What a press of a switch turned out to be. */
export interface Press {
  readonly is: 'first' | 'second' | 'long';
  /** Whether the switch could have been held. */
  readonly canBeLong: boolean;
}

export function other(slot: Slot): Slot {
  return slot === 'a' ? 'b' : 'a';
}
