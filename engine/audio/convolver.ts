import { fourierTransform, inverseFourierTransform } from './fourier.ts';

/** Samples of a partition: the first are convolved directly, the others by transforms of twice as many. */
const PARTITION = 128;
const SIZE = 2 * PARTITION;
const BINS = PARTITION + 1;

/**
 * Convolution with a long impulse response, y_n = Σ h_k·x_(n−k), without added delay: the first partition directly, the
 * rest by uniformly partitioned overlap-save, each partition's spectrum multiplied with that of the block of input so
 * many blocks ago.
 *
 * @see W. G. Gardner, J. Audio Eng. Soc. 43 (1995), 127; without his partitions of different length
 */
export class Convolver {
  readonly #head: Float64Array;
  /** Spectra of the later partitions, and of as many blocks of input, one after the other. */
  readonly #tailRe: Float64Array;
  readonly #tailIm: Float64Array;
  readonly #pastRe: Float64Array;
  readonly #pastIm: Float64Array;
  readonly #partitions: number;
  /** The last two partitions of input; the older is the first half. */
  readonly #input = new Float64Array(SIZE);
  /** Output of the later partitions for the present block. */
  readonly #tail = new Float64Array(PARTITION);
  readonly #re = new Float64Array(SIZE);
  readonly #im = new Float64Array(SIZE);
  /** Samples of the block under way, place of the newest spectrum. */
  readonly #at = new Int32Array(2);

  /** @param response Impulse response at the rate of the signal. Throws RangeError for none. Allocates. */
  constructor(response: Float64Array) {
    if (response.length === 0) throw new RangeError('an impulse response needs at least one sample');
    this.#head = new Float64Array(PARTITION);
    this.#head.set(response.subarray(0, PARTITION));
    this.#partitions = Math.max(0, Math.ceil(response.length / PARTITION) - 1);
    const length = BINS * Math.max(1, this.#partitions);
    this.#tailRe = new Float64Array(length);
    this.#tailIm = new Float64Array(length);
    this.#pastRe = new Float64Array(length);
    this.#pastIm = new Float64Array(length);
    for (let partition = 0; partition < this.#partitions; partition++) {
      const from = (partition + 1) * PARTITION;
      this.#re.fill(0);
      this.#im.fill(0);
      this.#re.set(response.subarray(from, from + PARTITION));
      fourierTransform(this.#re, this.#im);
      this.#tailRe.set(this.#re.subarray(0, BINS), partition * BINS);
      this.#tailIm.set(this.#im.subarray(0, BINS), partition * BINS);
    }
  }

  /**
   * @param input Length ≥ frames, finite. @param output Length ≥ frames, overwritten; may be the input.
   * Real-time safe.
   */
  process(input: Float64Array, frames: number, output: Float64Array): void {
    for (let frame = 0; frame < frames; frame++) {
      const at = this.#at[0]!;
      this.#input[PARTITION + at] = input[frame]!;
      output[frame] = this.#direct(PARTITION + at) + this.#tail[at]!;
      this.#at[0] = at + 1;
      if (at + 1 === PARTITION) this.#endBlock();
    }
  }

  reset(): void {
    this.#input.fill(0);
    this.#tail.fill(0);
    this.#pastRe.fill(0);
    this.#pastIm.fill(0);
    this.#at.fill(0);
  }

  #direct(newest: number): number {
    let sum = 0;
    for (let tap = 0; tap < PARTITION; tap++) sum += this.#head[tap]! * this.#input[newest - tap]!;
    return sum;
  }

  /** At the end of an input block: stores its spectrum and computes the later partitions' output for the next block. */
  #endBlock(): void {
    this.#at[0] = 0;
    if (this.#partitions > 0) this.#nextTail();
    for (let n = 0; n < PARTITION; n++) this.#input[n] = this.#input[n + PARTITION]!;
  }

  #nextTail(): void {
    const re = this.#re;
    const im = this.#im;
    for (let n = 0; n < SIZE; n++) {
      re[n] = this.#input[n]!;
      im[n] = 0;
    }
    fourierTransform(re, im);
    const newest = (this.#at[1]! + 1) % this.#partitions;
    this.#at[1] = newest;
    for (let bin = 0; bin < BINS; bin++) {
      this.#pastRe[newest * BINS + bin] = re[bin]!;
      this.#pastIm[newest * BINS + bin] = im[bin]!;
    }
    this.#sumProducts(newest);
    inverseFourierTransform(re, im);
    for (let n = 0; n < PARTITION; n++) this.#tail[n] = re[n + PARTITION]!;
  }

  /** Spectrum of the next block: partition by partition with the input so many blocks ago; mirrored, as it is real. */
  #sumProducts(newest: number): void {
    const re = this.#re;
    const im = this.#im;
    re.fill(0);
    im.fill(0);
    for (let partition = 0; partition < this.#partitions; partition++) {
      const block = (newest - partition + this.#partitions) % this.#partitions;
      for (let bin = 0; bin < BINS; bin++) {
        const a = this.#tailRe[partition * BINS + bin]!;
        const b = this.#tailIm[partition * BINS + bin]!;
        const c = this.#pastRe[block * BINS + bin]!;
        const d = this.#pastIm[block * BINS + bin]!;
        re[bin]! += a * c - b * d;
        im[bin]! += a * d + b * c;
      }
    }
    for (let bin = 1; bin < PARTITION; bin++) {
      re[SIZE - bin] = re[bin]!;
      im[SIZE - bin] = -im[bin]!;
    }
  }
}
