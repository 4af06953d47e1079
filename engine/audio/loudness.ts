import { type Biquad, BiquadCascade } from './biquad.ts';

/**
 * Offset that makes 0 dB of K-weighted mean square at 997 Hz read true, LKFS.
 * @see ITU-R BS.1770-5 Annex 1
 */
const OFFSET_LKFS = -0.691;

/** Momentary loudness looks back over 400 ms, renewed each 100 ms. @see EBU Tech 3341 */
export const HOP_SECONDS = 0.1;
export const HOPS_PER_BLOCK = 4;

/**
 * The analogue filters behind the 48 kHz coefficients of BS.1770, which prints only the digital coefficients.
 * They were inverted through the bilinear transform, by common practice; the tests compare the result with the
 * printed numbers.
 */
const SHELF = { frequencyHz: 1681.974450955533, gainDb: 3.999843853973347, quality: 0.7071752369554196 };
const HIGH_PASS = { frequencyHz: 38.13547087602444, quality: 0.5003270373238773 };
const BAND_GAIN_EXPONENT = 0.4996667741545416;
const REFERENCE_RATE_HZ = 48000;

/**
 * K-weighting (head shelf, then low-cut) at any sample rate, by the bilinear transform of the analogue
 * prototype with its corner kept. At 48 kHz these are the coefficients of ITU-R BS.1770-5 Annex 1.
 */
export function kWeighting(sampleRateHz: number): readonly [Biquad, Biquad] {
  return [shelf(sampleRateHz), lowCut(sampleRateHz)];
}

/**
 * Loudness of one channel after BS.1770, without gates:
 *
 *   L = −0.691 + 10 log10(mean square of the K-weighted signal)
 *
 * in LKFS where a signal of amplitude 1 is full scale (for a signal in volts: dB relative to 1 V). Energy is
 * gathered in hops of 100 ms, the overlap of the gating blocks of BS.1770.
 */
export class LoudnessMeter {
  readonly #weighting: BiquadCascade;
  readonly #weighted: Float64Array;
  readonly #hopFrames: number;
  /** Energies of the last four hops. */
  readonly #hops = new Float64Array(HOPS_PER_BLOCK);
  /** Frames of the hop under way, hops completed. */
  readonly #counters = new Int32Array(2);
  /** Energy of the hop under way, energy and frames since reset. */
  readonly #state = new Float64Array(3);

  /** @param maxFrames Longest block. Throws RangeError for a rate or length that is not positive. */
  constructor(sampleRateHz: number, maxFrames: number) {
    if (!(sampleRateHz > 0 && maxFrames >= 1)) {
      throw new RangeError(`loudness: rate ${sampleRateHz} Hz and block ${maxFrames} must be positive`);
    }
    this.#weighting = new BiquadCascade(kWeighting(sampleRateHz));
    this.#weighted = new Float64Array(maxFrames);
    this.#hopFrames = Math.round(HOP_SECONDS * sampleRateHz);
  }

  /** Loudness of the last whole 400 ms, LKFS; −Infinity in silence and before the first 400 ms. */
  get momentary(): number {
    if (this.#counters[1]! < HOPS_PER_BLOCK) return Number.NEGATIVE_INFINITY;
    const energy = this.#hops[0]! + this.#hops[1]! + this.#hops[2]! + this.#hops[3]!;
    return loudnessOf(energy / (HOPS_PER_BLOCK * this.#hopFrames));
  }

  /** Loudness of everything since `reset`, not gated, LKFS; −Infinity in silence. */
  get mean(): number {
    return loudnessOf(this.#state[1]! / this.#state[2]!);
  }

  /** @param input Length ≥ frames ≤ maxFrames, finite. Real-time safe. */
  process(input: Float64Array, frames: number): void {
    const weighted = this.#weighted;
    const state = this.#state;
    const counters = this.#counters;
    this.#weighting.process(input, frames, weighted);
    for (let n = 0; n < frames; n++) {
      const square = weighted[n]! * weighted[n]!;
      state[0] = state[0]! + square;
      state[1] = state[1]! + square;
      counters[0] = counters[0]! + 1;
      if (counters[0] === this.#hopFrames) this.#endHop();
    }
    state[2] = state[2]! + frames;
  }

  reset(): void {
    this.#weighting.reset();
    this.#hops.fill(0);
    this.#counters.fill(0);
    this.#state.fill(0);
  }

  #endHop(): void {
    const hops = this.#counters[1]!;
    this.#hops[hops % HOPS_PER_BLOCK] = this.#state[0]!;
    this.#state[0] = 0;
    this.#counters[0] = 0;
    this.#counters[1] = hops + 1;
  }
}

/** Loudness of a K-weighted mean square, LKFS; −Infinity in silence and for no samples. Real-time safe. */
export function loudnessOf(meanSquare: number): number {
  if (!(meanSquare > 0)) return Number.NEGATIVE_INFINITY;
  return OFFSET_LKFS + 10 * Math.log10(meanSquare);
}

/** The K-weighted mean square that has a loudness given in LKFS. */
export function meanSquareOf(loudnessLkfs: number): number {
  return 10 ** ((loudnessLkfs - OFFSET_LKFS) / 10);
}

function shelf(sampleRateHz: number): Biquad {
  const k = Math.tan((Math.PI * SHELF.frequencyHz) / sampleRateHz);
  const high = 10 ** (SHELF.gainDb / 20);
  const band = (high ** BAND_GAIN_EXPONENT * k) / SHELF.quality;
  const a0 = 1 + k / SHELF.quality + k * k;
  return {
    b0: (high + band + k * k) / a0,
    b1: (2 * (k * k - high)) / a0,
    b2: (high - band + k * k) / a0,
    a1: (2 * (k * k - 1)) / a0,
    a2: (1 - k / SHELF.quality + k * k) / a0,
  };
}

/**
 * The standard's numerator is 1, −2, 1 at 48 kHz, which leaves a gain of 1.005 in the pass band; it is kept
 * at other rates, so that the curve is the same.
 */
function lowCut(sampleRateHz: number): Biquad {
  const k = Math.tan((Math.PI * HIGH_PASS.frequencyHz) / sampleRateHz);
  const a0 = lowCutDenominator(k);
  const gain = lowCutDenominator(Math.tan((Math.PI * HIGH_PASS.frequencyHz) / REFERENCE_RATE_HZ)) / a0;
  return {
    b0: gain,
    b1: -2 * gain,
    b2: gain,
    a1: (2 * (k * k - 1)) / a0,
    a2: (1 - k / HIGH_PASS.quality + k * k) / a0,
  };
}

function lowCutDenominator(k: number): number {
  return 1 + k / HIGH_PASS.quality + k * k;
}
