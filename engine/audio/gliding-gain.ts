/** Time constants of the two poles are half of this: the setting is reached after about five times as long. */
const GLIDE_SECONDS = 0.01;

/** Nearer than this, relative, it has arrived. */
const ARRIVED = 1e-9;

/** Indices in the state: target, first pole, gain, whether it has been used. */
const TARGET = 0;
const FIRST = 1;
const GAIN = 2;
const USED = 3;

/**
 * A gain that follows its setting through two equal poles, g(t) = 1 − (1 + t/τ) e^(−t/τ) of the way: with one
 * pole it would start with a kink, which clicks in low notes.
 */
export class GlidingGain {
  readonly #share: number;
  readonly #state: Float64Array;

  constructor(gain: number, sampleRateHz: number) {
    this.#share = 1 - Math.exp(-2 / (GLIDE_SECONDS * sampleRateHz));
    this.#state = Float64Array.of(gain, gain, gain, 0);
  }

  /** At once if it has not been used yet. Real-time safe, like the rest. */
  glideTo(gain: number): void {
    this.#state[TARGET] = gain;
    if (this.#state[USED] === 0) this.jump();
  }

  /** Jumps to its target. */
  jump(): void {
    this.#state[FIRST] = this.#state[TARGET]!;
    this.#state[GAIN] = this.#state[TARGET]!;
  }

  /** @param signal Changed in place. */
  process(signal: Float64Array, frames: number): void {
    const state = this.#state;
    const share = this.#share;
    const target = state[TARGET]!;
    let first = state[FIRST]!;
    let gain = state[GAIN]!;
    for (let n = 0; n < frames; n++) {
      first += share * (target - first);
      gain += share * (first - gain);
      signal[n] = signal[n]! * gain;
    }
    state[FIRST] = first;
    state[GAIN] = gain;
    state[USED] = 1;
    const left = gain - target;
    if (left < ARRIVED * target && left > -ARRIVED * target) this.jump();
  }
}
