import { SlidingMaximum } from './sliding-maximum.ts';

export interface LimiterOptions {
  readonly sampleRateHz: number;
  /** No output sample exceeds this, in the unit of the signal. */
  readonly ceiling: number;
  /** The gain is down by the time the peak arrives; this is also the latency. */
  readonly lookAheadSeconds: number;
  /**
   * How long the gain stays down before it rises. From half the period of the lowest note on, a steady note
   * is held at one gain and is not distorted at all.
   */
  readonly holdSeconds: number;
  /** Time constant of the gain's way back. */
  readonly releaseSeconds: number;
}

/** Common practice for the last stage before headphones; half the period of 40 Hz as hold. */
export const LIMITER_TIMES = { lookAheadSeconds: 0.001, holdSeconds: 0.0125, releaseSeconds: 0.15 } as const;

/**
 * Gain reductions are whole multiples of this, so that their running sum is exact: it does not drift, and
 * returns to exactly zero, whatever came before.
 */
const STEP = 2 ** -40;

/**
 * Look-ahead limiter with a hard ceiling, one channel.
 *
 * With d[n] = 1 − ceiling / |x[n]| above the ceiling and 0 below: the greatest d of look-ahead and hold is
 * let go exponentially, and the mean of the last L + 1 of these is taken from the gain of x[n − L]. Each of
 * them is at least d[n − L], so the mean is too. Below the ceiling the output is the input, delayed, bit for
 * bit. Non-finite input counts as 0.
 */
export class Limiter {
  readonly latencySamples: number;
  readonly #ceiling: number;
  readonly #release: number;
  readonly #maximum: SlidingMaximum;
  readonly #delay: Float64Array;
  readonly #reductions: Float64Array;
  /** Place in the ring, last released reduction, sum of the ring (both in steps), non-finite samples, least gain of the last block. */
  readonly #state = new Float64Array([0, 0, 0, 0, 1]);

  /** Throws RangeError for a ceiling, rate or time that is not positive (hold may be 0). */
  constructor(options: LimiterOptions) {
    checkOptions(options);
    const { sampleRateHz } = options;
    this.latencySamples = Math.max(1, Math.round(options.lookAheadSeconds * sampleRateHz));
    this.#ceiling = options.ceiling;
    this.#release = 1 - Math.exp(-1 / (options.releaseSeconds * sampleRateHz));
    const hold = Math.round(options.holdSeconds * sampleRateHz);
    this.#maximum = new SlidingMaximum(this.latencySamples + 1 + hold);
    this.#delay = new Float64Array(this.latencySamples + 1);
    this.#reductions = new Float64Array(this.latencySamples + 1);
  }

  /** Largest gain reduction in the last block, dB, ≤ 0. */
  get gainReductionDb(): number {
    return 20 * Math.log10(this.#state[4]!);
  }

  /** Whether any sample of the last block was turned down. */
  get active(): boolean {
    return this.#state[4]! < 1;
  }

  /** Samples since `reset` that were not finite. */
  get nonFiniteSamples(): number {
    return this.#state[3]!;
  }

  /**
   * @param input Length ≥ frames.
   * @param frames Number of samples.
   * @param output Length ≥ frames, overwritten. May be the input.
   * Never exceeds the ceiling, whatever the input. Real-time safe.
   */
  process(input: Float64Array, frames: number, output: Float64Array): void {
    const state = this.#state;
    const ceiling = this.#ceiling;
    let leastGain = 1;
    for (let n = 0; n < frames; n++) {
      const place = state[0]!;
      let sample = input[n]!;
      if (sample - sample !== 0) {
        sample = 0;
        state[3] = state[3]! + 1;
      }
      this.#delay[place] = sample;
      const gain = this.#nextGain(sample, place);
      if (gain < leastGain) leastGain = gain;
      const next = place === this.latencySamples ? 0 : place + 1;
      state[0] = next;
      const limited = this.#delay[next]! * gain;
      // only rounding is left to cut off here
      output[n] = limited > ceiling ? ceiling : limited < -ceiling ? -ceiling : limited;
    }
    state[4] = leastGain;
  }

  reset(): void {
    this.#maximum.reset();
    this.#delay.fill(0);
    this.#reductions.fill(0);
    this.#state.fill(0);
    this.#state[4] = 1;
  }

  #nextGain(sample: number, place: number): number {
    const state = this.#state;
    const magnitude = Math.abs(sample);
    const wanted = magnitude > this.#ceiling ? Math.ceil((1 - this.#ceiling / magnitude) / STEP) : 0;
    const held = this.#maximum.next(wanted);
    const last = state[1]!;
    const reduction = held >= last ? held : Math.floor(last - this.#release * (last - held));
    // the ring's next place holds the oldest value, which leaves the mean
    const sum = state[2]! + reduction - this.#reductions[place]!;
    this.#reductions[place] = reduction;
    state[1] = reduction;
    state[2] = sum;
    return 1 - (sum * STEP) / (this.latencySamples + 1);
  }
}

function checkOptions(options: LimiterOptions): void {
  const { sampleRateHz, ceiling, lookAheadSeconds, holdSeconds, releaseSeconds } = options;
  for (const value of [sampleRateHz, ceiling, lookAheadSeconds, releaseSeconds]) {
    if (!(value > 0 && value < Number.POSITIVE_INFINITY)) {
      throw new RangeError(`limiter: rate, ceiling, look-ahead and release must be positive, not ${value}`);
    }
  }
  if (!(holdSeconds >= 0)) throw new RangeError(`limiter: hold of ${holdSeconds} s must not be negative`);
}
