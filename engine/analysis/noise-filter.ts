import { type Biquad, cascadeResponseDb } from '../audio/biquad.ts';
import { matchedPeak } from '../audio/matched-biquad.ts';
import { packSections, ShapedNoise, type ShapedNoiseOptions } from '../audio/shaped-noise.ts';
import { factorise, solveFactorised } from '../solver/dense-linear.ts';
import type { NoisePoint } from './noise.ts';

/**
 * Centres of the peaking filters, by filters an octave: few in the bass, where noise changes slowly, many where
 * a pickup resonates. The lowest lies below the range, since a peaking filter has gain 1 at 0 Hz.
 */
const REGIONS = [
  { fromHz: 12.5, toHz: 200, perOctave: 1 },
  { fromHz: 283, toHz: 1700, perOctave: 2 },
  { fromHz: 2016, toHz: 6000, perOctave: 4 },
  { fromHz: 6400, toHz: 21_000, perOctave: 3 },
] as const;
/** Quality factor of a peak for each peak an octave: neighbours then cross near half their decibels. */
const QUALITY_PER_OCTAVE = 0.8;
/** Centres and points of the curve stay below this share of half the sample rate. */
const BAND_SHARE = 0.95;
const MAX_GAIN_DB = 24;
const ITERATIONS = 5;
/** Step for the derivatives, dB; and damping that keeps neighbouring gains from growing in opposite directions. */
const DELTA_DB = 0.1;
const DAMPING = 1e-3;

/** A filter that shapes white noise to a density, and its error. */
export interface NoiseFilter {
  /** For `ShapedNoise.setFilter`. */
  readonly coefficients: Float64Array;
  /** Largest difference between its density and the wanted one, dB. */
  readonly worstDb: number;
}

/**
 * Peaking filters in series that follow a density at the output to within 0.75 dB, mostly to a few tenths. Their gains are
 * the least-squares solution in decibels over the curve's points (Gauss-Newton, since gains in series nearly
 * add in decibels). Above the highest point the density stays constant up to half the sample rate.
 *
 * @param points In rising frequency. @returns No filter if there is no noise.
 */
export function noiseFilter(points: readonly NoisePoint[], sampleRateHz: number): NoiseFilter {
  const highestHz = (BAND_SHARE * sampleRateHz) / 2;
  const used = points.filter(({ hz, outputVPerRtHz }) => hz <= highestHz && outputVPerRtHz > 0);
  const last = used.at(-1);
  if (!last) return { coefficients: new Float64Array(0), worstDb: 0 };
  const wantedDb = used.map(({ outputVPerRtHz }) => 20 * Math.log10(outputVPerRtHz / last.outputVPerRtHz));
  // Unit variance at the sample rate is a density of √(2/f_s).
  const gain = last.outputVPerRtHz / Math.sqrt(2 / sampleRateHz);
  const frequencies = used.map(({ hz }) => hz);
  return fitPeaks(frequencies, wantedDb, { sampleRateHz, gain });
}

/**
 * Sections that follow a gain over frequency, dB; minimum phase, as are the networks that such gains come from.
 *
 * @param frequencies Hz, rising.
 */
export function fitSections(
  frequencies: readonly number[],
  decibels: readonly number[],
  sampleRateHz: number,
): NoiseFilter {
  const used = frequencies.filter((hz) => hz <= (BAND_SHARE * sampleRateHz) / 2);
  // Peaking filters have gain 1 above the range, so the value at its end becomes an overall gain.
  const lastDb = decibels[used.length - 1] ?? 0;
  const wantedDb = decibels.slice(0, used.length).map((value) => value - lastDb);
  return fitPeaks(used, wantedDb, { sampleRateHz, gain: 10 ** (lastDb / 20) });
}

function fitPeaks(
  frequencies: readonly number[],
  wantedDb: readonly number[],
  { sampleRateHz, gain }: { readonly sampleRateHz: number; readonly gain: number },
): NoiseFilter {
  const fit = new PeakFit(frequencies, Float64Array.from(wantedDb), sampleRateHz);
  for (let iteration = 0; iteration < ITERATIONS; iteration++) fit.improve();
  return { coefficients: packSections(fit.sections(), gain), worstDb: fit.worstDb() };
}

/**
 * A build's noise, to be added to a recording of its output; always the same for the same seed, whatever the length of
 * the pieces. It is the noise at the operating point: it does not change while a note clips, when diodes
 * conduct and the gain of the stage falls.
 */
export function noiseOf(filter: NoiseFilter, options: ShapedNoiseOptions): ShapedNoise {
  const generator = new ShapedNoise(options);
  generator.startWith(filter.coefficients);
  return generator;
}

/** Gains of peaks at fixed centres, improved step by step. */
class PeakFit {
  readonly #frequencies: readonly number[];
  readonly #wanted: Float64Array;
  readonly #sampleRateHz: number;
  readonly #centres: readonly { readonly hz: number; readonly quality: number }[];
  readonly #gains: Float64Array;

  constructor(frequencies: readonly number[], wanted: Float64Array, sampleRateHz: number) {
    this.#frequencies = frequencies;
    this.#wanted = wanted;
    this.#sampleRateHz = sampleRateHz;
    this.#centres = REGIONS.flatMap(({ fromHz, toHz, perOctave }) => {
      const highestHz = Math.min(toHz, (BAND_SHARE * sampleRateHz) / 2);
      const count = 1 + Math.floor(perOctave * Math.log2(highestHz / fromHz) + 1e-9);
      return Array.from({ length: count }, (_, index) => ({
        hz: fromHz * 2 ** (index / perOctave),
        quality: QUALITY_PER_OCTAVE * perOctave,
      }));
    });
    this.#gains = new Float64Array(this.#centres.length);
  }

  sections(): Biquad[] {
    return this.#centres.map((_, index) => this.#peak(index, this.#gains[index]!));
  }

  worstDb(): number {
    return this.#residual().reduce((worst, value) => Math.max(worst, Math.abs(value)), 0);
  }

  improve(): void {
    const n = this.#centres.length;
    const residual = this.#residual();
    const slopes = this.#centres.map((_, index) => this.#slope(index));
    const normal = new Float64Array(n * n);
    const step = new Float64Array(n);
    for (let row = 0; row < n; row++) {
      step[row] = dot(slopes[row]!, residual);
      for (let column = 0; column < n; column++)
        normal[row * n + column] = dot(slopes[row]!, slopes[column]!);
      normal[row * n + row]! *= 1 + DAMPING;
    }
    const pivots = new Int32Array(n);
    const factors = factorise(normal, n, pivots);
    if (!factors) return;
    solveFactorised(factors, n, pivots, step, 1);
    for (let index = 0; index < n; index++) {
      const gain = this.#gains[index]! + step[index]!;
      this.#gains[index] = Math.min(MAX_GAIN_DB, Math.max(-MAX_GAIN_DB, gain));
    }
  }

  /** Target minus actual, dB, at each point. */
  #residual(): Float64Array {
    const sections = this.sections();
    return this.#wanted.map(
      (db, index) => db - cascadeResponseDb(sections, this.#frequencies[index]!, this.#sampleRateHz),
    );
  }

  /** Derivative of each point by a peak's gain. */
  #slope(centre: number): Float64Array {
    const gainDb = this.#gains[centre]!;
    const one = [this.#peak(centre, gainDb + DELTA_DB)];
    const other = [this.#peak(centre, gainDb - DELTA_DB)];
    const change = (point: number) =>
      cascadeResponseDb(one, point, this.#sampleRateHz) - cascadeResponseDb(other, point, this.#sampleRateHz);
    return Float64Array.from(this.#frequencies, (point) => change(point) / (2 * DELTA_DB));
  }

  #peak(centre: number, gainDb: number): Biquad {
    const { hz, quality } = this.#centres[centre]!;
    return matchedPeak({ frequencyHz: hz, quality, gainDb, sampleRateHz: this.#sampleRateHz });
  }
}

function dot(one: Float64Array, other: Float64Array): number {
  let sum = 0;
  for (let index = 0; index < one.length; index++) sum += one[index]! * other[index]!;
  return sum;
}
