import { BiquadCascade } from './biquad.ts';
import { HOP_SECONDS, HOPS_PER_BLOCK, kWeighting, loudnessOf, meanSquareOf } from './loudness.ts';

/** Short-term loudness looks back over 3 s. @see EBU Tech 3341 */
const HOPS_PER_SHORT_TERM = 30;

/** Blocks below this are not programme. @see ITU-R BS.1770-5 Annex 1 */
const ABSOLUTE_GATE_LUFS = -70;
/** Blocks this far below the mean of the programme are its pauses. @see ITU-R BS.1770-5 Annex 1 */
const RELATIVE_GATE_LU = -10;

/** Width and top of the histogram in which gating blocks are kept. A signal of 100 V reads +37 LUFS. */
const BIN_LU = 0.01;
const TOP_LUFS = 50;
const ABSOLUTE_GATE_MEAN_SQUARE = meanSquareOf(ABSOLUTE_GATE_LUFS);
const BINS = Math.round((TOP_LUFS - ABSOLUTE_GATE_LUFS) / BIN_LU);

/**
 * Loudness of a programme after ITU-R BS.1770-5 and EBU Tech 3341: momentary (400 ms), short-term (3 s), their
 * maxima, and integrated with both gates,
 *
 *   L = −0.691 + 10 log10 Σ_channels(mean square of the K-weighted signal)
 *
 * over blocks of 400 ms that overlap by 75 %. Channels are left and right, of weight one; a recording of one
 * channel is measured as that one channel, and reads 3.01 LU more when it is given to both.
 *
 * Gating blocks are kept in a histogram of 0.01 LU whose bins hold count and exact energy, so that memory does
 * not grow with the programme. The cost: the relative gate falls on a bin's edge, at most 0.01 LU low.
 */
export class ProgrammeLoudness {
  readonly #weightings: readonly BiquadCascade[];
  readonly #weighted: Float64Array;
  /** Squares of all channels, added up sample by sample. */
  readonly #power: Float64Array;
  readonly #hopFrames: number;
  /** Energies of the last 3 s of hops, as a ring. */
  readonly #hops = new Float64Array(HOPS_PER_SHORT_TERM);
  /** Frames of the hop under way, hops completed. */
  readonly #counters = new Int32Array(2);
  /** Energy of the hop under way; highest mean squares over 400 ms and 3 s. */
  readonly #state = new Float64Array(3);
  /** Blocks in each bin above the absolute gate, and the sum of their mean squares. */
  readonly #binCounts = new Float64Array(BINS);
  readonly #binSums = new Float64Array(BINS);

  /**
   * @param channels 1 or 2. @param maxFrames Longest block.
   * Throws RangeError for a rate, count or length that is not positive.
   */
  constructor(sampleRateHz: number, channels: number, maxFrames: number) {
    if (!(sampleRateHz > 0 && channels >= 1 && maxFrames >= 1)) {
      throw new RangeError(
        `loudness: rate ${sampleRateHz} Hz, ${channels} channels and block ${maxFrames} must be positive`,
      );
    }
    this.#weightings = Array.from({ length: channels }, () => new BiquadCascade(kWeighting(sampleRateHz)));
    this.#weighted = new Float64Array(maxFrames);
    this.#power = new Float64Array(maxFrames);
    this.#hopFrames = Math.round(HOP_SECONDS * sampleRateHz);
  }

  /** Loudness of the last whole 400 ms, LUFS; −Infinity in silence and before the first 400 ms. */
  get momentary(): number {
    return loudnessOf(this.#meanSquareOfLast(HOPS_PER_BLOCK));
  }

  /** Loudness of the last whole 3 s, LUFS; −Infinity in silence and before the first 3 s. */
  get shortTerm(): number {
    return loudnessOf(this.#meanSquareOfLast(HOPS_PER_SHORT_TERM));
  }

  get maximumMomentary(): number {
    return loudnessOf(this.#state[1]!);
  }

  get maximumShortTerm(): number {
    return loudnessOf(this.#state[2]!);
  }

  /** Gated loudness of everything since `reset`, LUFS; −Infinity where no block passed the absolute gate. */
  get integrated(): number {
    const ungated = this.#meanSquareFrom(0);
    if (!(ungated > 0)) return Number.NEGATIVE_INFINITY;
    const first = binOf(loudnessOf(ungated) + RELATIVE_GATE_LU);
    return loudnessOf(this.#meanSquareFrom(first > 0 ? first : 0));
  }

  /** @param input One array a channel, each of length ≥ frames ≤ maxFrames, finite. Real-time safe. */
  process(input: readonly Float64Array[], frames: number): void {
    const power = this.#power;
    const state = this.#state;
    const counters = this.#counters;
    this.#gatherPower(input, frames);
    for (let n = 0; n < frames; n++) {
      state[0] = state[0]! + power[n]!;
      counters[0] = counters[0]! + 1;
      if (counters[0] === this.#hopFrames) this.#endHop();
    }
  }

  reset(): void {
    for (const weighting of this.#weightings) weighting.reset();
    this.#hops.fill(0);
    this.#counters.fill(0);
    this.#state.fill(0);
    this.#binCounts.fill(0);
    this.#binSums.fill(0);
  }

  #gatherPower(input: readonly Float64Array[], frames: number): void {
    const weighted = this.#weighted;
    const power = this.#power;
    power.fill(0, 0, frames);
    for (let channel = 0; channel < this.#weightings.length; channel++) {
      this.#weightings[channel]!.process(input[channel]!, frames, weighted);
      for (let n = 0; n < frames; n++) power[n] = power[n]! + weighted[n]! * weighted[n]!;
    }
  }

  #endHop(): void {
    const state = this.#state;
    const hops = this.#counters[1]!;
    this.#hops[hops % HOPS_PER_SHORT_TERM] = state[0]!;
    state[0] = 0;
    this.#counters[0] = 0;
    this.#counters[1] = hops + 1;
    const block = this.#meanSquareOfLast(HOPS_PER_BLOCK);
    const shortTerm = this.#meanSquareOfLast(HOPS_PER_SHORT_TERM);
    if (block > state[1]!) state[1] = block;
    if (shortTerm > state[2]!) state[2] = shortTerm;
    if (block > ABSOLUTE_GATE_MEAN_SQUARE) this.#keepBlock(block);
  }

  #keepBlock(meanSquare: number): void {
    const bin = binOf(loudnessOf(meanSquare));
    const index = bin < BINS ? bin : BINS - 1;
    this.#binCounts[index] = this.#binCounts[index]! + 1;
    this.#binSums[index] = this.#binSums[index]! + meanSquare;
  }

  /** Mean square of the last whole hops, 0 before there are so many. */
  #meanSquareOfLast(count: number): number {
    const hops = this.#counters[1]!;
    if (hops < count) return 0;
    let energy = 0;
    for (let back = 1; back <= count; back++) energy += this.#hops[(hops - back) % HOPS_PER_SHORT_TERM]!;
    return energy / (count * this.#hopFrames);
  }

  /** Mean of the blocks in a bin and those above it, NaN where there are none. */
  #meanSquareFrom(firstBin: number): number {
    let count = 0;
    let sum = 0;
    for (let bin = firstBin; bin < BINS; bin++) {
      count += this.#binCounts[bin]!;
      sum += this.#binSums[bin]!;
    }
    return sum / count;
  }
}

/** Readings of a whole recording. */
export interface LoudnessReadings {
  readonly integratedLufs: number;
  readonly maximumMomentaryLufs: number;
  readonly maximumShortTermLufs: number;
}

/**
 * Loudness of a whole recording, offline.
 *
 * @param channels One or two arrays of one length. −Infinity where too short or silent.
 */
export function loudnessReadings(channels: readonly Float64Array[], sampleRateHz: number): LoudnessReadings {
  const frames = channels[0]?.length ?? 0;
  const meter = new ProgrammeLoudness(sampleRateHz, channels.length, Math.max(1, frames));
  meter.process(channels, frames);
  return {
    integratedLufs: meter.integrated,
    maximumMomentaryLufs: meter.maximumMomentary,
    maximumShortTermLufs: meter.maximumShortTerm,
  };
}

function binOf(lufs: number): number {
  return Math.floor((lufs - ABSOLUTE_GATE_LUFS) / BIN_LU);
}
