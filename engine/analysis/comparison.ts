import { fourierTransform, powerOfTwoFrom } from '../audio/fourier.ts';
import { LoudnessMeter } from '../audio/loudness.ts';
import { type NullResult, nullDepth } from './null-depth.ts';

/** Level of one octave in two signals, dB relative to 1 V RMS. */
export interface BandLevels {
  /** Middle of the octave, Hz. */
  readonly hz: number;
  readonly aDb: number;
  readonly bDb: number;
}

/** Two renders of one recording, set against each other. */
export interface Comparison {
  /** Loudness of A minus that of B, K-weighted mean over the whole, dB. */
  readonly loudnessDifferenceDb: number;
  /** RMS of A over that of B, dB. */
  readonly rmsDifferenceDb: number;
  readonly null: Omit<NullResult, 'remainder'>;
  /** Octaves from 63 Hz to 16 kHz. */
  readonly bands: readonly BandLevels[];
}

const BAND_CENTRES_HZ = [63, 125, 250, 500, 1000, 2000, 4000, 8000, 16_000];

/**
 * Compares two outputs of the same length and rate, in step.
 *
 * @param aV,bV Volts. @throws RangeError for signals of different length, and for silence.
 */
export function compareSignals(aV: Float64Array, bV: Float64Array, sampleRateHz: number): Comparison {
  const { depthDb, gainDb, delaySamples } = nullDepth(aV, bV);
  const aBands = octaveLevels(aV, sampleRateHz);
  const bBands = octaveLevels(bV, sampleRateHz);
  return {
    loudnessDifferenceDb: meanLoudness(aV, sampleRateHz) - meanLoudness(bV, sampleRateHz),
    rmsDifferenceDb: 10 * Math.log10(meanSquare(aV) / meanSquare(bV)),
    null: { depthDb, gainDb, delaySamples },
    bands: BAND_CENTRES_HZ.map((hz, index) => ({ hz, aDb: aBands[index]!, bDb: bBands[index]! })),
  };
}

function meanLoudness(signal: Float64Array, sampleRateHz: number): number {
  const meter = new LoudnessMeter(sampleRateHz, signal.length);
  meter.process(signal, signal.length);
  return meter.mean;
}

function octaveLevels(signal: Float64Array, sampleRateHz: number): number[] {
  const size = powerOfTwoFrom(signal.length);
  const re = new Float64Array(size);
  const im = new Float64Array(size);
  re.set(signal);
  fourierTransform(re, im);
  return BAND_CENTRES_HZ.map((centreHz) => {
    const first = Math.ceil((centreHz * Math.SQRT1_2 * size) / sampleRateHz);
    const end = Math.min(size / 2, Math.ceil((centreHz * Math.SQRT2 * size) / sampleRateHz));
    let sum = 0;
    for (let bin = first; bin < end; bin++) sum += re[bin]! * re[bin]! + im[bin]! * im[bin]!;
    // Two-sided power over the length of the signal, not of the padded transform.
    return 10 * Math.log10((2 * sum) / size / signal.length);
  });
}

function meanSquare(signal: Float64Array): number {
  return signal.reduce((sum, value) => sum + value * value, 0) / signal.length;
}
