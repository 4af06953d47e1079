import { type Biquad, NUMBERS_PER_SECTION, processSections } from './biquad.ts';

/** Time of a fade to another filter. */
const FADE_SECONDS = 0.03;
/** Most sections of a filter. */
const MAX_SECTIONS = 24;
/** Standard deviation of the sum of four uniform 16-bit numbers. */
const DEVIATION = Math.sqrt((4 * (2 ** 32 - 1)) / 12);
/** Numbers discarded at the start; with a small seed they are small. */
const DISCARDED = 64;
/** The mean of such a sum: a signed 16-bit number is −1/2 on average. */
const MEAN = -2;

export interface ShapedNoiseOptions {
  readonly sampleRateHz: number;
  readonly maxFrames: number;
  /** Not zero; generators with different seeds are not correlated. */
  readonly seed: number;
}

/**
 * White noise through second-order sections, always the same for the same seed. The white noise has unit variance, so
 * that sections of response H give the one-sided density |H(f)|²·2/f_s. Its numbers are sums of four uniform
 * ones, close enough to a normal distribution for hiss. Silent until it gets a filter.
 *
 * @see G. Marsaglia, "Xorshift RNGs", J. Statistical Software 8 (2003), 14: shifts 13, 17, 5
 */
export class ShapedNoise {
  readonly #random: Int32Array;
  readonly #white: Float64Array;
  readonly #shaped: Float64Array;
  #current = new Sections();
  #next = new Sections();
  readonly #waiting = new Sections();
  /** Remaining samples of a fade, and whether another filter waits for its end. */
  readonly #fade = new Int32Array(2);
  readonly #fadeSamples: number;

  constructor({ sampleRateHz, maxFrames, seed }: ShapedNoiseOptions) {
    this.#random = Int32Array.of(seed);
    this.#white = new Float64Array(maxFrames);
    this.#shaped = new Float64Array(maxFrames);
    this.#fadeSamples = Math.max(1, Math.round(FADE_SECONDS * sampleRateHz));
    for (let left = DISCARDED; left > 0; left -= maxFrames) this.#drawWhite(Math.min(left, maxFrames));
  }

  /** Has a filter from the first sample on. */
  startWith(coefficients: Float64Array): void {
    this.#current.set(coefficients);
    this.#fade.fill(0);
  }

  /**
   * Fades to another filter; while a fade is under way, after it. Real-time safe.
   *
   * @param coefficients b0, b1, b2, a1, a2 of each section ({@link packSections}); empty for silence.
   */
  setFilter(coefficients: Float64Array): void {
    if (this.#fade[0]! > 0) {
      this.#waiting.set(coefficients);
      this.#fade[1] = 1;
      return;
    }
    this.#next.set(coefficients);
    this.#fade[0] = this.#fadeSamples;
  }

  /** Adds noise to a signal. Real-time safe. */
  addTo(signal: Float64Array, frames: number): void {
    // A fade ends at the same sample for any block length.
    for (let start = 0; start < frames; ) {
      const left = this.#fade[0]!;
      const piece = left > 0 && left < frames - start ? left : frames - start;
      if (left > 0) this.#addFading(signal, start, piece);
      else if (!this.#current.isSilent) this.#addSteady(signal, start, piece);
      start += piece;
    }
  }

  #addSteady(signal: Float64Array, start: number, frames: number): void {
    this.#drawWhite(frames);
    this.#current.process(this.#white, frames, this.#shaped);
    for (let n = 0; n < frames; n++) signal[start + n]! += this.#shaped[n]!;
  }

  #addFading(signal: Float64Array, start: number, frames: number): void {
    this.#drawWhite(frames);
    this.#current.process(this.#white, frames, this.#shaped);
    this.#next.process(this.#white, frames, this.#white);
    for (let n = 0; n < frames; n++) {
      const share = (this.#fade[0]! - n) / this.#fadeSamples;
      signal[start + n]! += share * this.#shaped[n]! + (1 - share) * this.#white[n]!;
    }
    this.#fade[0]! -= frames;
    if (this.#fade[0]! === 0) this.#endFade();
  }

  #endFade(): void {
    const done = this.#current;
    this.#current = this.#next;
    this.#next = done;
    if (this.#fade[1] === 0) return;
    this.#fade[1] = 0;
    this.#next.copy(this.#waiting);
    this.#fade[0] = this.#fadeSamples;
  }

  /** In one loop: V8 allocates a double that a function returns where it does not inline it. */
  #drawWhite(frames: number): void {
    let x = this.#random[0]!;
    for (let n = 0; n < frames; n++) {
      x ^= x << 13;
      x ^= x >>> 17;
      x ^= x << 5;
      let sum = (x >> 16) + ((x << 16) >> 16);
      x ^= x << 13;
      x ^= x >>> 17;
      x ^= x << 5;
      sum += (x >> 16) + ((x << 16) >> 16);
      this.#white[n] = (sum - MEAN) / DEVIATION;
    }
    this.#random[0] = x;
  }
}

/** Sections as numbers for {@link ShapedNoise.setFilter}, the gain in the first. @throws RangeError for too many. */
export function packSections(sections: readonly Biquad[], gain: number): Float64Array {
  if (sections.length > MAX_SECTIONS)
    throw new RangeError(`a noise filter has at most ${MAX_SECTIONS} sections`);
  return Float64Array.from(
    sections.flatMap(({ b0, b1, b2, a1, a2 }, index) => {
      const scale = index === 0 ? gain : 1;
      return [scale * b0, scale * b1, scale * b2, a1, a2];
    }),
  );
}

/** Sections in series with replaceable coefficients, transposed direct form II; silence if there are none. */
class Sections {
  readonly #coefficients = new Float64Array(MAX_SECTIONS * NUMBERS_PER_SECTION);
  readonly #state = new Float64Array(2 * MAX_SECTIONS);
  readonly #count = new Int32Array(1);

  get isSilent(): boolean {
    return this.#count[0] === 0;
  }

  /** Takes coefficients, with zero state. */
  set(coefficients: Float64Array): void {
    for (let n = 0; n < coefficients.length; n++) this.#coefficients[n] = coefficients[n]!;
    this.#count[0] = coefficients.length / NUMBERS_PER_SECTION;
    this.#state.fill(0);
  }

  /** Takes another's coefficients, with zero state. */
  copy(other: Sections): void {
    this.#coefficients.set(other.#coefficients);
    this.#count[0] = other.#count[0]!;
    this.#state.fill(0);
  }

  process(input: Float64Array, frames: number, output: Float64Array): void {
    if (this.isSilent) for (let n = 0; n < frames; n++) output[n] = 0;
    processSections(this.#coefficients, this.#state, this.#count[0]!, input, frames, output);
  }
}
