import { SWITCH_FADE_SECONDS } from '../engine/audio/crossfade.ts';

/** Averaging time of the live number. */
const AVERAGING_SECONDS = 1;

/** Indices in `#state`: share of the difference in the output, its gain, mean squares of difference and of A, first pole of the gain. */
const SHARE = 0;
const GAIN = 1;
const DIFFERENCE = 2;
const REFERENCE = 3;
const FIRST_GAIN = 4;

/**
 * The difference of two signals, played in place of either: y = g·(a − b), with g its stated gain. Its depth,
 *
 *   d = 10 log10(mean (a − b)² / mean a²)
 *
 * over the last second (exponentially weighted), is computed in any case. Real-time safe.
 */
export class DifferenceListening {
  readonly #fadeStep: number;
  readonly #forgetting: number;
  #isHeard = false;
  #gain = 1;
  readonly #state = new Float64Array([0, 1, 0, 0, 1]);

  constructor(sampleRateHz: number) {
    this.#fadeStep = 1 / (SWITCH_FADE_SECONDS * sampleRateHz);
    this.#forgetting = 1 - Math.exp(-1 / (AVERAGING_SECONDS * sampleRateHz));
  }

  /** Difference relative to A, dB; −Infinity if there is none, or silence. */
  get depthDb(): number {
    const state = this.#state;
    // Below this A counts as silence: the end of a filter's decay.
    if (!(state[REFERENCE]! > 1e-14)) return Number.NEGATIVE_INFINITY;
    return 10 * Math.log10(state[DIFFERENCE]! / state[REFERENCE]!);
  }

  set(isHeard: boolean, gainDb: number): void {
    this.#isHeard = isHeard;
    this.#gain = 10 ** (gainDb / 20);
  }

  /** @param mixed The usual output; the difference is faded in to replace it. */
  process(a: Float64Array, b: Float64Array, frames: number, mixed: Float64Array): void {
    const state = this.#state;
    const step = this.#isHeard ? this.#fadeStep : -this.#fadeStep;
    for (let frame = 0; frame < frames; frame++) {
      const difference = a[frame]! - b[frame]!;
      state[DIFFERENCE] =
        state[DIFFERENCE]! + this.#forgetting * (difference * difference - state[DIFFERENCE]!);
      state[REFERENCE] = state[REFERENCE]! + this.#forgetting * (a[frame]! * a[frame]! - state[REFERENCE]!);
      // Two poles, as in GlidingGain: one would begin with a kink.
      state[FIRST_GAIN] = state[FIRST_GAIN]! + this.#fadeStep * (this.#gain - state[FIRST_GAIN]!);
      state[GAIN] = state[GAIN]! + this.#fadeStep * (state[FIRST_GAIN]! - state[GAIN]!);
      const share = state[SHARE]! + step;
      state[SHARE] = share > 1 ? 1 : share < 0 ? 0 : share;
      if (state[SHARE] === 0) continue;
      const weight = 0.5 - 0.5 * Math.cos(Math.PI * state[SHARE]!);
      mixed[frame] = (1 - weight) * mixed[frame]! + weight * state[GAIN]! * difference;
    }
  }
}
