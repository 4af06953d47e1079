import { fourierTransform, inverseFourierTransform, powerOfTwoFrom } from '../audio/fourier.ts';
import { maximumLengthSequence } from '../audio/maximum-length-sequence.ts';

/**
 * Delay of a loop from output to input, from a maximum-length sequence that is played twice and recorded at the
 * same time: the second repetition is correlated with the sequence. With 2^15 − 1 samples, delays up to 0.68 s
 * at 48 kHz are unique, and the returned signal gains 45 dB over noise.
 */
const SEQUENCE = maximumLengthSequence(15);
const PERIOD = SEQUENCE.length;

/** Level of the test signal, dB of full scale: well below music, well above the noise of an input. */
export const ROUND_TRIP_LEVEL_DB = -24;
const LEVEL = 10 ** (ROUND_TRIP_LEVEL_DB / 20);

/** Samples of the test signal and of the recording. */
export const ROUND_TRIP_SAMPLES = 2 * PERIOD;

/** The test signal, the sequence twice, in units of full scale. */
export function roundTripSignal(): Float32Array<ArrayBuffer> {
  return Float32Array.from({ length: ROUND_TRIP_SAMPLES }, (_, n) => LEVEL * SEQUENCE[n % PERIOD]!);
}

/** Whether the delay is reliable, or why not. */
export type RoundTripVerdict =
  | 'clear'
  /** The input clipped. */
  | 'clipped'
  /** Nothing came in. */
  | 'silent'
  /** Something came in, but not the test signal. */
  | 'absent'
  /** It came in so weak that it may be crosstalk and not the cable. */
  | 'low'
  /** It came in more than once, or blurred: no single delay stands out. */
  | 'unclear';

export interface RoundTrip {
  readonly verdict: RoundTripVerdict;
  /** Delay of the loop, samples, from writing a sample to reading it; meaningful only if the result is 'clear'. */
  readonly delaySamples: number;
  /** Level at which the test signal came back, dB of full scale. */
  readonly returnedDb: number;
  /** The loop inverts the signal. */
  readonly isInverted: boolean;
  /** How far the peak of the correlation stands above the next one, dB. */
  readonly clearanceDb: number;
}

/** Samples this close to full scale count as clipped; converters end one code below 1. */
const CLIPPED = 0.999;
/** So few may be a click. */
const FEW_CLIPPED = 3;
/** Below −100 dB of full scale there is no input: even a quiet converter makes more noise. Common practice, no source. */
const SILENT_RMS = 1e-5;
/**
 * Of 32767 values of Gaussian noise the largest is about 4.3 times their RMS, and in one recording of 10^10 above 8
 * times.
 */
const LEAST_SIGNIFICANCE = 8;
/** Loops below this level, dB of full scale, may be crosstalk within the interface. Common practice, no source. */
const LEAST_RETURNED_DB = -70;
/** The peak has to be twice the next one. */
const LEAST_CLEARANCE = 2;
/** Within this time of the peak, filters of converters ring; a later peak is a second path. */
const RINGING_SECONDS = 1e-3;

/**
 * The delay of a loop.
 *
 * @param recorded What came in from the first sample of the test signal on, {@link ROUND_TRIP_SAMPLES} long, in units of
 *   full scale. @throws RangeError for another length.
 */
export function roundTrip(recorded: Float32Array, sampleRateHz: number): RoundTrip {
  if (recorded.length !== ROUND_TRIP_SAMPLES) {
    throw new RangeError(`a recording of ${recorded.length} samples does not fit the test signal`);
  }
  const response = circularCorrelation(Float64Array.from(recorded.subarray(PERIOD)));
  const peak = largest(response, 0, PERIOD);
  const ringing = Math.round(RINGING_SECONDS * sampleRateHz);
  const rest = Math.abs(response[largest(response, peak + ringing + 1, PERIOD - 2 * ringing - 1)]!);
  const height = Math.abs(response[peak]!);
  const background = rms(response, peak + ringing + 1, PERIOD - 2 * ringing - 1);
  const facts = {
    delaySamples: peakBetweenSamples(response, peak) % PERIOD,
    returnedDb: 20 * Math.log10(Math.max(height, 1e-9)),
    isInverted: response[peak]! < 0,
    clearanceDb: 20 * Math.log10(height / Math.max(rest, 1e-12)),
  };
  return { ...facts, verdict: verdictOf(recorded, facts, height / Math.max(background, 1e-12)) };
}

function verdictOf(
  recorded: Float32Array,
  { returnedDb, clearanceDb }: Pick<RoundTrip, 'returnedDb' | 'clearanceDb'>,
  significance: number,
): RoundTripVerdict {
  const clipped = recorded.reduce((count, sample) => count + (Math.abs(sample) >= CLIPPED ? 1 : 0), 0);
  if (clipped > FEW_CLIPPED) return 'clipped';
  if (rms(recorded, 0, recorded.length) < SILENT_RMS) return 'silent';
  if (significance < LEAST_SIGNIFICANCE) return 'absent';
  if (returnedDb < LEAST_RETURNED_DB) return 'low';
  return clearanceDb < 20 * Math.log10(LEAST_CLEARANCE) ? 'unclear' : 'clear';
}

/**
 * Response of the loop by delay, in units of full scale: (1/N)·Σ y_n·x_(n−d) with x repeated. The linear
 * correlation is computed by a Fourier transform of sufficient length; negative delays are wrapped to the end.
 */
function circularCorrelation(received: Float64Array): Float64Array {
  const length = powerOfTwoFrom(2 * PERIOD - 1);
  const [yRe, yIm] = [new Float64Array(length), new Float64Array(length)];
  const [xRe, xIm] = [new Float64Array(length), new Float64Array(length)];
  yRe.set(received);
  xRe.set(SEQUENCE);
  fourierTransform(yRe, yIm);
  fourierTransform(xRe, xIm);
  for (let k = 0; k < length; k++) {
    const re = yRe[k]! * xRe[k]! + yIm[k]! * xIm[k]!;
    yIm[k] = yIm[k]! * xRe[k]! - yRe[k]! * xIm[k]!;
    yRe[k] = re;
  }
  inverseFourierTransform(yRe, yIm);
  return Float64Array.from(
    { length: PERIOD },
    (_, delay) => (yRe[delay]! + (delay === 0 ? 0 : yRe[length + delay - PERIOD]!)) / PERIOD,
  );
}

/** Index of the largest of `count` magnitudes from an index on, wrapping at the end. */
function largest(values: Float64Array, from: number, count: number): number {
  let found = from % values.length;
  for (let n = from; n < from + count; n++) {
    const place = n % values.length;
    if (Math.abs(values[place]!) > Math.abs(values[found]!)) found = place;
  }
  return found;
}

function rms(values: Float32Array | Float64Array, from: number, count: number): number {
  let sum = 0;
  for (let n = from; n < from + count; n++) sum += values[n % values.length]! ** 2;
  return Math.sqrt(sum / count);
}

/** Samples on each side for a value between samples. */
const REACH = 32;
/** Steps a sample for the search of the peak, before the parabola through three of them. */
const STEPS = 32;

/** Position of a peak between samples: the response is band-limited, so a sum of windowed sinc functions interpolates it. */
function peakBetweenSamples(response: Float64Array, peak: number): number {
  const magnitudes = Array.from({ length: 2 * STEPS + 1 }, (_, step) =>
    Math.abs(valueBetween(response, peak, step / STEPS - 1)),
  );
  const best = magnitudes.indexOf(Math.max(...magnitudes));
  const [before, at, after] = [magnitudes[best - 1], magnitudes[best]!, magnitudes[best + 1]];
  const curvature = before === undefined || after === undefined ? 0 : before - 2 * at + after;
  const shift = curvature === 0 ? 0 : (before! - after!) / (2 * curvature);
  const place = peak + (best + shift) / STEPS - 1;
  return (place + response.length) % response.length;
}

/** Σ h_m·sinc(t − m)·cos²(π(t − m)/(2·reach)), a Hann window over the reach. */
function valueBetween(values: Float64Array, peak: number, offset: number): number {
  let sum = 0;
  for (let m = -REACH + 1; m < REACH; m++) {
    const t = offset - m;
    if (Math.abs(t) >= REACH) continue;
    const sinc = t === 0 ? 1 : Math.sin(Math.PI * t) / (Math.PI * t);
    const window = Math.cos((Math.PI * t) / (2 * REACH)) ** 2;
    sum += values[(peak + m + values.length) % values.length]! * sinc * window;
  }
  return sum;
}
