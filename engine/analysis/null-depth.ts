import { fourierTransform, inverseFourierTransform, powerOfTwoFrom } from '../audio/fourier.ts';
import { Refusal } from '../input/refusal.ts';
import { dbToRatio } from '../units/decibels.ts';

/** How closely one signal is a copy of another, except for level and delay. */
export interface NullResult {
  /** RMS of the remainder relative to that of the first signal, dB; −Infinity for equal signals. */
  readonly depthDb: number;
  /** Gain that the second signal needs to match the first best, dB. */
  readonly gainDb: number;
  /** The second signal is inverted relative to the first, and is inverted for the match. */
  readonly isInverted: boolean;
  /** Delay that the second signal needs, samples, with fractions. */
  readonly delaySamples: number;
  /** The remainder: the first minus the matched second. */
  readonly remainder: Float64Array;
}

/** RMS below which a signal is only rounding: the hiss of a build is some microvolts, the solver's error in silence a picovolt. */
const SILENCE_V = 1e-9;
/** Longest delay of the search, samples. */
const MAX_DELAY_SAMPLES = 480;
/** Refinement ends when the delay is known to this, samples: −120 dB at a tenth of the sample rate. */
const DELAY_TOLERANCE = 1e-7;
const GOLDEN = (Math.sqrt(5) - 1) / 2;

/**
 * Null test after the best gain and sub-sample alignment: the delay that correlates the signals best, found to
 * the sample from their cross-correlation and then between samples by golden section on the same correlation.
 *
 * Null depth says how much of the waveform differs, not how much of that is audible: a changed cutoff frequency
 * shifts phases and makes the null shallow without being heard.
 *
 * @param first,second Volts. @throws Refusal for silence; RangeError for signals of different length.
 */
export function nullDepth(first: Float64Array, second: Float64Array): NullResult {
  if (first.length !== second.length) throw new RangeError('a null test needs two signals of one length');
  const size = powerOfTwoFrom(first.length + MAX_DELAY_SAMPLES);
  const a = spectrum(first, size);
  const b = spectrum(second, size);
  const energyA = energy(first);
  const energyB = energy(second);
  if (Math.min(energyA, energyB) < first.length * SILENCE_V ** 2)
    throw new Refusal('silence', 'One of the two is silent, so there is nothing to compare.');
  const { delay: coarse, isInverted } = bestWholeDelay(a, b, size);
  const sign = isInverted ? -1 : 1;
  const delaySamples = refine((delay) => sign * correlationAt(a, b, size, delay), coarse - 1, coarse + 1);
  const gain = correlationAt(a, b, size, delaySamples) / energyB;
  const matched = delayed(b, size, delaySamples, first.length);
  const remainder = first.map((value, index) => value - gain * matched[index]!);
  return {
    depthDb: 10 * Math.log10(energy(remainder) / energyA),
    gainDb: 20 * Math.log10(Math.abs(gain)),
    isInverted,
    delaySamples,
    remainder,
  };
}

/** A remainder, amplified so that it can be heard alone. */
export interface AudibleDifference {
  readonly signal: Float64Array;
  /** Its amplification, dB. */
  readonly gainDb: number;
}

/** A remainder that needs more amplification is noise and rounding. */
const MOST_GAIN_DB = 60;

/**
 * The remainder of a null test raised to the level (RMS) of the first signal, by 60 dB at most. Its sound shows
 * where two signals differ; its original level shows how much.
 *
 * @param first,remainder As given to and returned by {@link nullDepth}.
 */
export function audibleDifference(first: Float64Array, remainder: Float64Array): AudibleDifference {
  const wanted = 10 * Math.log10(energy(first) / energy(remainder));
  const gainDb = Math.min(MOST_GAIN_DB, Math.max(0, wanted));
  const gain = dbToRatio(gainDb);
  return { signal: remainder.map((value) => gain * value), gainDb };
}

interface Spectrum {
  readonly re: Float64Array;
  readonly im: Float64Array;
}

function spectrum(signal: Float64Array, size: number): Spectrum {
  const re = new Float64Array(size);
  const im = new Float64Array(size);
  re.set(signal);
  fourierTransform(re, im);
  return { re, im };
}

/** The lag with the largest correlation, of either sign. */
function bestWholeDelay(
  a: Spectrum,
  b: Spectrum,
  size: number,
): { readonly delay: number; readonly isInverted: boolean } {
  const re = a.re.map((value, k) => value * b.re[k]! + a.im[k]! * b.im[k]!);
  const im = a.im.map((value, k) => value * b.re[k]! - a.re[k]! * b.im[k]!);
  inverseFourierTransform(re, im);
  const at = (delay: number) => re[(delay + size) % size]!;
  let best = 0;
  for (let delay = -MAX_DELAY_SAMPLES; delay <= MAX_DELAY_SAMPLES; delay++) {
    if (Math.abs(at(delay)) > Math.abs(at(best))) best = delay;
  }
  return { delay: best, isInverted: at(best) < 0 };
}

/**
 * Σ a_n·b_(n−delay) for any real delay, from the spectra (Parseval). Those of real signals are mirrored, so half of
 * them is enough; the bin at half the sample rate is skipped, since a fractional delay is not defined there.
 */
function correlationAt(a: Spectrum, b: Spectrum, size: number, delay: number): number {
  let sum = a.re[0]! * b.re[0]!;
  for (let k = 1; k < size / 2; k++) {
    const phase = (2 * Math.PI * k * delay) / size;
    const realPart = a.re[k]! * b.re[k]! + a.im[k]! * b.im[k]!;
    const imaginaryPart = a.im[k]! * b.re[k]! - a.re[k]! * b.im[k]!;
    sum += 2 * (realPart * Math.cos(phase) - imaginaryPart * Math.sin(phase));
  }
  return sum / size;
}

function delayed(b: Spectrum, size: number, delay: number, length: number): Float64Array {
  const re = new Float64Array(size);
  const im = new Float64Array(size);
  for (let k = 0; k < size; k++) {
    const phase = (-2 * Math.PI * signedBin(k, size) * delay) / size;
    re[k] = b.re[k]! * Math.cos(phase) - b.im[k]! * Math.sin(phase);
    im[k] = b.re[k]! * Math.sin(phase) + b.im[k]! * Math.cos(phase);
  }
  inverseFourierTransform(re, im);
  return re.subarray(0, length);
}

function signedBin(k: number, size: number): number {
  return k <= size / 2 ? k : k - size;
}

/** Golden-section search for the maximum of a function with one peak between the ends. */
function refine(f: (x: number) => number, from: number, to: number): number {
  let low = from;
  let high = to;
  let left = high - GOLDEN * (high - low);
  let right = low + GOLDEN * (high - low);
  let atLeft = f(left);
  let atRight = f(right);
  while (high - low > DELAY_TOLERANCE) {
    if (atLeft > atRight) {
      high = right;
      right = left;
      atRight = atLeft;
      left = high - GOLDEN * (high - low);
      atLeft = f(left);
    } else {
      low = left;
      left = right;
      atLeft = atRight;
      right = low + GOLDEN * (high - low);
      atRight = f(right);
    }
  }
  return (low + high) / 2;
}

function energy(signal: Float64Array): number {
  return signal.reduce((sum, value) => sum + value * value, 0);
}
