import { kaiserWindow } from '../audio/half-band.ts';
import { type OversamplingFactor, Upsampler } from '../audio/oversampler.ts';
import { allSlices, type Slices } from '../audio/slices.ts';
import type { NodeName } from '../devices/node.ts';
import type { Network } from '../network/network.ts';
import { CircuitSimulator } from '../solver/circuit-simulator.ts';
import { compileCircuit } from '../solver/compile.ts';

/**
 * An estimate above this is reported, dB: errors above -60 dB must be, and some are 7 dB larger than their estimate.
 */
export const SAID_ERROR_DB = -68;

/** The error of a render at one rate, estimated from other runs of the same circuit. */
export interface SolverAccuracy {
  readonly factor: OversamplingFactor;
  /**
   * RMS of the error below 19 kHz over the larger of the output's and 1 mV, dB. Undefined where there is nothing to
   * estimate it by, see {@link NOT_ESTIMATED}.
   */
  readonly errorDb: number | undefined;
  /** The part of the recording on which it is so large. */
  readonly excerptV: Float64Array | undefined;
  /** Whether that is more than an ear should be asked to judge by. */
  readonly isSaid: boolean;
  /** The output is below 1 mV, so that the error is relative to 1 mV. */
  readonly isQuiet: boolean;
}

export interface AccuracyOptions {
  /** Oversampling of the render in question. */
  readonly factor: OversamplingFactor;
  readonly sampleRateHz: number;
}

/** Length of the compared sections of a recording, the loudest and the one with most treble, s. */
const EXCERPT_S = 0.15;
/** Both outputs pass one low-pass here, Hz, or at a share of a lower recording rate: half-width in s, and its window's shape (120 dB). */
const [COMPARED_HZ, HALF_WIDTH_S, KAISER_BETA] = [19_000, 1e-3, 12.27];
const COMPARED_SHARE = 0.45;
const FADE_S = 3e-3;
/** Silence behind a part, so that its end is heard too: longer than the delay of the resampling and the half-width. */
const TAIL_S = 5e-3;
/** A recording shorter than this is all fade, s. */
const LEAST_S = 2e-3;
/** Why there is no estimate. */
export const NOT_ESTIMATED = `not estimated: the recording is silent or shorter than ${1e3 * LEAST_S} ms`;
/** Quieter outputs are compared in proportion to this, V. */
const FLOOR_V = 1e-3;
/** Upper limit of the order that is measured from two differences: the formula's own order is three. */
const MOST_ORDER = 3;
/**
 * Renders below this rate are compared with faster runs, because slower ones would show little; the others with slower
 * ones.
 */
const FAST_FACTOR = 32;

/**
 * Plays excerpts at three rates, each twice the one before. If the render's rate is the lowest, its error is its
 * difference to the highest. If it is the highest, and the differences fall from one doubling to the next by 2^p, the
 * error is the last difference divided by 2^p − 1 (Richardson extrapolation); if they do not fall, it is as large as
 * they are. An error that is equal at all rates cannot be found in this way.
 *
 * @param excerptsV Volts at `sampleRateHz`, see `accuracyExcerpts`; without any there is no estimate.
 * @throws NetworkError, OperatingPointError.
 */
export function solverAccuracy(
  network: Network,
  excerptsV: readonly Float64Array[],
  { factor, sampleRateHz }: AccuracyOptions,
): SolverAccuracy {
  const isFast = factor >= FAST_FACTOR;
  const highest = { factor: (isFast ? factor : 4 * factor) as OversamplingFactor, sampleRateHz };
  const errors = excerptsV.map((excerptV) => {
    const [coarse, middle, fine] = [4, 2, 1].map((stride) => heardAt(network, excerptV, highest, stride));
    return { factor, excerptV, ...errorOf(isFast, coarse!, middle!, fine!) };
  });
  if (errors.length === 0)
    return { factor, errorDb: undefined, excerptV: undefined, isSaid: false, isQuiet: false };
  return errors.reduce((worst, each) =>
    // An error that is no number is the worst.
    Number.isNaN(worst.errorDb) || each.errorDb <= worst.errorDb ? worst : each,
  );
}

/** What an error in decibels is relative to, in words that follow the number. */
export function comparedWith({ isQuiet }: Pick<SolverAccuracy, 'isQuiet'>): string {
  return isQuiet ? 'of 1 mV (the output is quieter)' : 'of the output';
}

/** Output at the rate of the render divided by `stride`, in audio samples. @param net Instead of the output. */
export function heardAt(
  network: Network,
  excerptV: Float64Array,
  { factor, sampleRateHz }: AccuracyOptions,
  stride: number,
  net?: NodeName,
): Float64Array {
  const dense = raised(excerptV, factor, sampleRateHz);
  const inputV = stride === 1 ? dense : dense.filter((_, n) => n % stride === 0);
  const circuit = compileCircuit(network, { sampleRateHz: (sampleRateHz * factor) / stride });
  const simulator = new CircuitSimulator(circuit);
  const [outputV, probedV] = [new Float64Array(inputV.length), new Float64Array(inputV.length)];
  if (net !== undefined) simulator.probe(circuit.nodeNames.indexOf(net));
  simulator.process(inputV, outputV, inputV.length, probedV);
  return heard(net === undefined ? outputV : probedV, factor / stride, sampleRateHz);
}

function errorOf(
  isFast: boolean,
  coarse: Float64Array,
  middle: Float64Array,
  fine: Float64Array,
): Pick<SolverAccuracy, 'isSaid' | 'isQuiet'> & { readonly errorDb: number } {
  const outputV = rms(fine);
  const level = Math.max(FLOOR_V, outputV);
  const [first, last] = [differenceRms(coarse, middle), differenceRms(middle, fine)];
  // Below rounding an order cannot be measured.
  const order = Math.min(MOST_ORDER, Math.max(0, Math.log2((first + 1e-15) / (last + 1e-15))));
  const errorV = isFast ? last / Math.max(1, 2 ** order - 1) : differenceRms(coarse, fine);
  const errorDb = 20 * Math.log10(errorV / level + 1e-12);
  return { errorDb, isSaid: !(errorDb <= SAID_ERROR_DB), isQuiet: outputV < FLOOR_V };
}

/**
 * The loudest part of a recording and the one with most treble, faded in and out; all of a short one, and none of silence.
 *
 * @param pieces The recording in volts, in pieces of any length, each of which may be overwritten by the next.
 */
export function accuracyExcerpts(pieces: Iterable<Float64Array>, sampleRateHz: number): Float64Array[] {
  return allSlices(accuracyExcerptsInSlices(pieces, sampleRateHz));
}

/** The same in slices, one a piece. */
export function* accuracyExcerptsInSlices(
  pieces: Iterable<Float64Array>,
  sampleRateHz: number,
): Slices<Float64Array[]> {
  const length = Math.round(EXCERPT_S * sampleRateHz);
  const window = new Float64Array(length);
  const [loudest, sharpest] = [new BestWindow(), new BestWindow()];
  let filled = 0;
  let before = new Float64Array(0);
  const take = () => {
    // The end is the last whole window, which overlaps the one before: by itself it could be too short to compare.
    const whole = Float64Array.of(...before.subarray(filled), ...window.subarray(0, filled));
    before = whole;
    filled = 0;
    if (whole.length < LEAST_S * sampleRateHz) return;
    loudest.offer(whole, meanSquare(whole));
    sharpest.offer(whole, meanSquare(whole.map((volts, n) => volts - (whole[n - 1] ?? volts))));
  };
  for (const piece of pieces) {
    for (const volts of piece) {
      window[filled++] = volts;
      if (filled === length) take();
    }
    yield;
  }
  if (filled > 0) take();
  const best = new Set([loudest, sharpest].flatMap(({ samples }) => samples ?? []));
  return [...best].map((excerptV) => withTail(faded(excerptV, FADE_S * sampleRateHz), TAIL_S * sampleRateHz));
}

class BestWindow {
  samples: Float64Array | undefined;
  #most = 0;

  offer(samples: Float64Array, size: number): void {
    if (size <= this.#most) return;
    this.#most = size;
    this.samples = samples;
  }
}

function faded(signal: Float64Array, frames: number): Float64Array {
  const share = (n: number) => (n >= frames ? 1 : 0.5 - 0.5 * Math.cos((Math.PI * n) / frames));
  return signal.map((volts, n) => volts * share(n) * share(signal.length - 1 - n));
}

function withTail(signal: Float64Array, frames: number): Float64Array {
  const longer = new Float64Array(signal.length + Math.round(frames));
  longer.set(signal);
  return longer;
}

function raised(inputV: Float64Array, factor: OversamplingFactor, sampleRateHz: number): Float64Array {
  const dense = new Float64Array(inputV.length * factor);
  const options = { factor, quality: 'linear-phase', sampleRateHz, maxFrames: inputV.length } as const;
  new Upsampler(options).process(inputV, inputV.length, dense);
  return dense;
}

/** The signal below 19 kHz, at the base rate; the ends, where the filter has no samples, are left out. */
function heard(dense: Float64Array, factor: number, sampleRateHz: number): Float64Array {
  const reach = Math.round(HALF_WIDTH_S * sampleRateHz);
  const comparedHz = Math.min(COMPARED_HZ, COMPARED_SHARE * sampleRateHz);
  const taps = lowPass(comparedHz, reach * factor, sampleRateHz * factor);
  const length = Math.max(0, Math.floor(dense.length / factor) - 2 * reach);
  return Float64Array.from({ length }, (_, k) => {
    let sum = 0;
    for (let j = 0; j < taps.length; j++) sum += taps[j]! * dense[k * factor + j]!;
    return sum;
  });
}

function lowPass(cutoffHz: number, reach: number, rateHz: number): Float64Array {
  const taps = Float64Array.from({ length: 2 * reach + 1 }, (_, j) => {
    const angle = (2 * Math.PI * cutoffHz * (j - reach)) / rateHz;
    return (angle === 0 ? 1 : Math.sin(angle) / angle) * kaiserWindow((j - reach) / reach, KAISER_BETA);
  });
  const sum = taps.reduce((total, tap) => total + tap, 0);
  return taps.map((tap) => tap / sum);
}

export function rms(signal: Float64Array): number {
  return Math.sqrt(meanSquare(signal));
}

function meanSquare(signal: Float64Array): number {
  return signal.reduce((sum, volts) => sum + volts * volts, 0) / Math.max(1, signal.length);
}

export function differenceRms(a: Float64Array, b: Float64Array): number {
  return rms(a.map((volts, n) => volts - b[n]!));
}
