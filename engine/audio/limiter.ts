import { SlidingMaximum } from './sliding-maximum.ts';

export interface LimiterOptions {
  readonly sampleRateHz: number;
  /** No output sample exceeds this, in the unit of the signal. */
  readonly ceiling: number;
  /** The gain is down by the time the peak arrives; this is also the latency. */
  readonly lookAheadSeconds: number;
  /**
   * How long the gain stays down before it rises. With at least half the period of the lowest note, a steady
   * note keeps one gain and is not distorted.
   */
  readonly holdSeconds: number;
  /** Time constant of the release. */
  readonly releaseSeconds: number;
}

/** Common practice for the last stage before headphones; half the period of 40 Hz as hold. */
export const LIMITER_TIMES = { lookAheadSeconds: 0.001, holdSeconds: 0.0125, releaseSeconds: 0.15 } as const;

/**
 * Gain reductions are whole multiples of this, so that their running sum is exact: it does not drift, and
 * returns to exactly zero, whatever came before.
 */
const STEP = 2 ** -40;

/** Samples handled at a time: bounds the workspace, and changes no result. */
const CHUNK = 128;

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
  /** Ceiling, release per sample. Numbers in fields would be allocated where they are chosen as output. */
  readonly #settings: Float64Array;
  readonly #maximum: SlidingMaximum;
  readonly #delay: Float64Array;
  readonly #reductions: Float64Array;
  readonly #samples = new Float64Array(CHUNK);
  readonly #wanted = new Float64Array(CHUNK);
  /** Place in the ring; as a whole number it is not allocated. */
  readonly #place = new Int32Array(1);
  /** Last reduction and sum of the ring, in steps; non-finite samples; least gain of the last block. */
  readonly #state = new Float64Array([0, 0, 0, 1]);

  /** Throws RangeError for a ceiling, rate or time that is not positive (hold may be 0). */
  constructor(options: LimiterOptions) {
    checkOptions(options);
    const { sampleRateHz } = options;
    this.latencySamples = Math.max(1, Math.round(options.lookAheadSeconds * sampleRateHz));
    const release = 1 - Math.exp(-1 / (options.releaseSeconds * sampleRateHz));
    this.#settings = Float64Array.of(options.ceiling, release);
    const hold = Math.round(options.holdSeconds * sampleRateHz);
    this.#maximum = new SlidingMaximum(this.latencySamples + 1 + hold);
    this.#delay = new Float64Array(this.latencySamples + 1);
    this.#reductions = new Float64Array(this.latencySamples + 1);
  }

  /** Largest gain reduction in the last block, dB, ≤ 0. */
  get gainReductionDb(): number {
    return 20 * Math.log10(this.#state[3]!);
  }

  /** Whether any sample of the last block was reduced. */
  get active(): boolean {
    return this.#state[3]! < 1;
  }

  /** Samples since `reset` that were not finite. */
  get nonFiniteSamples(): number {
    return this.#state[2]!;
  }

  /**
   * @param input Length ≥ frames.
   * @param frames Number of samples.
   * @param output Length ≥ frames, overwritten. May be the input.
   * Never exceeds the ceiling, whatever the input. Real-time safe.
   */
  process(input: Float64Array, frames: number, output: Float64Array): void {
    this.#state[3] = 1;
    for (let start = 0; start < frames; start += CHUNK) {
      const end = start + CHUNK < frames ? start + CHUNK : frames;
      this.#measure(input, start, end);
      this.#maximum.process(this.#wanted, end - start);
      this.#apply(start, end, output);
    }
  }

  reset(): void {
    this.#maximum.reset();
    this.#delay.fill(0);
    this.#reductions.fill(0);
    this.#place.fill(0);
    this.#state.fill(0);
    this.#state[3] = 1;
  }

  /** Keeps the finite samples and computes the reduction that each needs, in steps. */
  #measure(input: Float64Array, start: number, end: number): void {
    const ceiling = this.#settings[0]!;
    for (let n = start; n < end; n++) {
      let sample = input[n]!;
      if (sample - sample !== 0) {
        sample = 0;
        this.#state[2] = this.#state[2]! + 1;
      }
      const magnitude = Math.abs(sample);
      this.#samples[n - start] = sample;
      this.#wanted[n - start] = magnitude > ceiling ? Math.ceil((1 - ceiling / magnitude) / STEP) : 0;
    }
  }

  /** Releases the held reductions, averages them and applies them to the delayed samples. */
  #apply(start: number, end: number, output: Float64Array): void {
    const state = this.#state;
    const ceiling = this.#settings[0]!;
    const release = this.#settings[1]!;
    const length = this.latencySamples + 1;
    let place = this.#place[0]!;
    let reduction = state[0]!;
    let sum = state[1]!;
    let leastGain = state[3]!;
    for (let n = start; n < end; n++) {
      const held = this.#wanted[n - start]!;
      reduction = held >= reduction ? held : Math.floor(reduction - release * (reduction - held));
      // this place of the ring still holds the oldest value, which leaves the mean
      sum += reduction - this.#reductions[place]!;
      this.#reductions[place] = reduction;
      this.#delay[place] = this.#samples[n - start]!;
      place = place + 1 === length ? 0 : place + 1;
      const gain = 1 - (sum * STEP) / length;
      if (gain < leastGain) leastGain = gain;
      const limited = this.#delay[place]! * gain;
      // only rounding is left to cut off here
      output[n] = limited > ceiling ? ceiling : limited < -ceiling ? -ceiling : limited;
    }
    this.#place[0] = place;
    state[0] = reduction;
    state[1] = sum;
    state[3] = leastGain;
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
