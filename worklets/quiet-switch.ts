import { SWITCH_FADE_SECONDS } from '../engine/audio/crossfade.ts';
import type { Slot } from './bench-messages.ts';

/** Indices in `#state`: gain 0 to 1, its step a sample, samples of silence left. */
const GAIN = 0;
const STEP = 1;
const REST = 2;

/**
 * Switching for blind tests: every switch fades to silence, waits, and fades back, also to the same build. A
 * crossfade from a build to itself is inaudible, and one between builds of opposite polarity dips; either would
 * give the answer away.
 *
 * `begin`, `end` and `hear` must be called from a message handler; `takeSwitch` and `process` are real-time safe.
 */
export class QuietSwitch {
  readonly #step: number;
  readonly #restSamples: number;
  #isOn = false;
  #wanted: Slot = 'a';
  /** Whether the build changes in the next silence. */
  #isDue = false;
  readonly #state = new Float64Array([1, 0, 0]);

  constructor(sampleRateHz: number) {
    this.#step = 1 / (SWITCH_FADE_SECONDS * sampleRateHz);
    // Longer than a block, so that the length of the silence does not depend on where the blocks fall.
    this.#restSamples = Math.round(4 * SWITCH_FADE_SECONDS * sampleRateHz);
  }

  get isOn(): boolean {
    return this.#isOn;
  }

  /** The build after the next silence. */
  get wanted(): Slot {
    return this.#wanted;
  }

  set(isOn: boolean): void {
    this.#isOn = isOn;
    if (isOn) return;
    this.#isDue = false;
    this.#state[STEP] = this.#step;
  }

  hear(slot: Slot): void {
    this.#wanted = slot;
    this.#isDue = true;
    this.#state[STEP] = -this.#step;
    this.#state[REST] = this.#restSamples;
  }

  /** Whether the build must change now, in the silence; true once for each switch. */
  takeSwitch(): boolean {
    const isNow = this.#isDue && this.#state[GAIN]! <= 0;
    if (isNow) this.#isDue = false;
    return isNow;
  }

  /** @param signal Changed in place. */
  process(signal: Float64Array, frames: number): void {
    const state = this.#state;
    if (state[GAIN]! >= 1 && state[STEP]! >= 0) return;
    for (let frame = 0; frame < frames; frame++) {
      if (state[GAIN]! <= 0 && state[STEP]! < 0) {
        state[REST] = state[REST]! - 1;
        if (state[REST]! <= 0) state[STEP] = this.#step;
      } else {
        const gain = state[GAIN]! + state[STEP]!;
        state[GAIN] = gain > 1 ? 1 : gain < 0 ? 0 : gain;
      }
      signal[frame] = signal[frame]! * (0.5 - 0.5 * Math.cos(Math.PI * state[GAIN]!));
    }
  }
}
