import type { BlindButton } from '../../engine/analysis/blind-test.ts';
import type { Slot } from '../../worklets/bench-messages.ts';
import type { EarState } from '../state/ear-state.ts';
import { type HandTargets, other, type Press } from './hand-targets.ts';

/** What the first press did; a second or long one takes a switch back. */
type First =
  | { readonly did: 'switch'; readonly heard: Slot; readonly difference: EarState['difference'] }
  | { readonly did: 'blind'; readonly heard: BlindButton }
  | { readonly did: 'capture' };

/**
 * One switch for a whole evening. The first press changes A and B at once; a second one soon after takes that back and
 * brings the next candidate; a long one takes it back, and records or stops. While a riff is recorded a press begins and
 * ends that; in a blind test it plays the next button, and a long one answers with what played before.
 */
export class FootSwitch {
  readonly #targets: HandTargets;
  readonly #recordOrStop: () => void;
  #first: First | undefined;

  constructor(targets: HandTargets, recordOrStop: () => void) {
    this.#targets = targets;
    this.#recordOrStop = recordOrStop;
  }

  take({ is }: Press): void {
    if (is === 'first') this.#begin();
    else if (is === 'second') this.#second();
    else this.#hold();
  }

  #begin(): void {
    const { store, act, blind } = this.#targets;
    const { ear, heard } = store.state;
    if (ear.blindTest) {
      this.#first = { did: 'blind', heard: ear.blindTest.heard };
      blind.press(' ');
    } else if (ear.capture !== 'idle') {
      this.#first = { did: 'capture' };
      act({ type: 'earCommand', command: { do: 'pressCapture' } });
    } else {
      this.#first = { did: 'switch', heard, difference: ear.difference };
      act({ type: 'hear', slot: other(heard) });
    }
  }

  #second(): void {
    const { act, blind } = this.#targets;
    if (this.#first?.did === 'blind') blind.press(' ');
    if (this.#first?.did !== 'switch') return;
    this.#takeBack(this.#first);
    act({ type: 'candidate', step: 1 });
  }

  #hold(): void {
    if (this.#first?.did === 'blind') this.#targets.blind.answerHeard(this.#first.heard);
    if (this.#first?.did !== 'switch') return;
    this.#takeBack(this.#first);
    this.#recordOrStop();
  }

  #takeBack({ heard, difference }: First & { did: 'switch' }): void {
    const { act } = this.#targets;
    act({ type: 'hear', slot: heard });
    if (difference) act({ type: 'ear', change: { difference } });
  }
}
