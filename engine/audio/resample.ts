import { kaiserWindow } from './half-band.ts';
import { allSlices, type Slices } from './slices.ts';

/** Images and aliases, and the deviation in the pass band, stay below this. */
const ATTENUATION_DB = 105;

/** Samples of one slice. */
const SLICE_SAMPLES = 8192;

/** End of the pass band over half the lower rate: 20 kHz at 44.1 kHz. */
const PASS_BAND = 20 / 22.05;

/**
 * Most positions between two samples with a filter of their own; usual pairs of rates need fewer. If there are
 * more, as from 44,099 to 48,000 Hz, the sum is interpolated between two filters: with 1024 positions a sample
 * of the lower rate the error is (π/1024)²/24, -128 dB.
 */
const MOST_PHASES = 1024;

/**
 * Converts a whole recording to another sample rate, offline, by a linear-phase windowed sinc:
 *
 *   y(m / to) = Σ x[n] h(m from/to − n)
 *
 * cut off at half the lower of the two rates. Sample 0 stays at time 0; the recording is assumed to be
 * surrounded by silence.
 *
 * @param input Samples at the rate `fromHz`.
 * @returns A new array of round(length · toHz / fromHz) samples.
 * Throws RangeError unless both rates are positive whole numbers. Allocates; not for the audio thread.
 * @see J. O. Smith, "Digital Audio Resampling", CCRMA, Stanford; window after J. F. Kaiser, 1974
 */
export function resample(input: Float64Array, fromHz: number, toHz: number): Float64Array {
  return allSlices(resampleInSlices(input, fromHz, toHz));
}

/** The same in slices. */
export function* resampleInSlices(input: Float64Array, fromHz: number, toHz: number): Slices<Float64Array> {
  for (const rate of [fromHz, toHz]) {
    if (!(Number.isInteger(rate) && rate > 0))
      throw new RangeError(`sample rate ${rate} Hz must be a positive whole number`);
  }
  if (fromHz === toHz) return input.slice();
  const divisor = greatestCommonDivisor(fromHz, toHz);
  const filter = new PhaseFilters(Math.min(1, toHz / fromHz), toHz / divisor);
  const output = new Float64Array(Math.round((input.length * toHz) / fromHz));
  for (let m = 0; m < output.length; m++) {
    // whole numbers below 2^53, so the position is exact
    const position = m * (fromHz / divisor);
    const phase = position % (toHz / divisor);
    if (m % SLICE_SAMPLES === SLICE_SAMPLES - 1) yield;
    output[m] = filter.apply(input, (position - phase) / (toHz / divisor), phase);
  }
  return output;
}

/** The sinc's samples at positions between two input samples. */
class PhaseFilters {
  readonly #phases: number;
  /** Positions that have filters: all that occur, or a limited number. */
  readonly #positions: number;
  readonly #halfLength: number;
  readonly #cutoff: number;
  readonly #kept = new Map<number, Float64Array>();

  /** @param band Half the lower rate over half the input's rate, ≤ 1. */
  constructor(band: number, phases: number) {
    const transition = 0.5 * band * (1 - PASS_BAND);
    const taps = (ATTENUATION_DB - 8) / (2.285 * 2 * Math.PI * transition);
    this.#phases = phases;
    this.#positions = phases <= MOST_PHASES ? phases : Math.ceil(MOST_PHASES * band);
    this.#halfLength = Math.ceil(taps / 2) + 1;
    this.#cutoff = 0.25 * band * (1 + PASS_BAND);
  }

  apply(input: Float64Array, whole: number, phase: number): number {
    const position = (phase / this.#phases) * this.#positions;
    if (this.#positions === this.#phases) return this.#sum(input, whole, phase);
    const below = Math.floor(position);
    const share = position - below;
    return (1 - share) * this.#sum(input, whole, below) + share * this.#sum(input, whole, below + 1);
  }

  #sum(input: Float64Array, whole: number, position: number): number {
    const filter = this.#filter(position);
    const first = whole - this.#halfLength + 1;
    const from = Math.max(0, -first);
    const to = Math.min(filter.length, input.length - first);
    let sum = 0;
    for (let k = from; k < to; k++) sum += filter[k]! * input[first + k]!;
    return sum;
  }

  #filter(position: number): Float64Array {
    const known = this.#kept.get(position);
    if (known) return known;
    const filter = this.#design(position / this.#positions);
    this.#kept.set(position, filter);
    return filter;
  }

  /** Taps for a position the given fraction of a sample after the input's. */
  #design(fraction: number): Float64Array {
    const half = this.#halfLength;
    const beta = 0.1102 * (ATTENUATION_DB - 8.7);
    return Float64Array.from({ length: 2 * half }, (_, k) => {
      const offset = fraction + half - 1 - k;
      return 2 * this.#cutoff * sinc(2 * this.#cutoff * offset) * kaiserWindow(offset / half, beta);
    });
  }
}

function sinc(x: number): number {
  return x === 0 ? 1 : Math.sin(Math.PI * x) / (Math.PI * x);
}

function greatestCommonDivisor(a: number, b: number): number {
  return b === 0 ? a : greatestCommonDivisor(b, a % b);
}
