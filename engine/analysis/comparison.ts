import { LoudnessMeter } from '../audio/loudness.ts';
import { bandLevels, OCTAVES } from './band-levels.ts';
import { type NullResult, nullDepth } from './null-depth.ts';

/** Level of one octave in two signals, dB relative to 1 V RMS. */
export interface BandLevels {
  /** Centre of the octave, Hz. */
  readonly hz: number;
  readonly aDb: number;
  readonly bDb: number;
  /** Null depth in this octave, dB: the remainder relative to A. */
  readonly nullDb: number;
}

/** Comparison of two renders of one recording. */
export interface Comparison {
  /** Loudness of A minus that of B, K-weighted mean over the whole, dB. */
  readonly loudnessDifferenceDb: number;
  /** Ratio of the RMS of A to that of B, dB. */
  readonly rmsDifferenceDb: number;
  readonly null: Omit<NullResult, 'remainder'>;
  /** Octaves from 63 Hz to 16 kHz. */
  readonly bands: readonly BandLevels[];
}

/**
 * Compares two outputs of the same length and rate, in step.
 *
 * @param aV,bV Volts. @throws Refusal for silence; RangeError for signals of different length.
 */
export function compareSignals(aV: Float64Array, bV: Float64Array, sampleRateHz: number): Comparison {
  const { remainder, ...found } = nullDepth(aV, bV);
  const [aBands, bBands, left] = [aV, bV, remainder].map((signal) =>
    bandLevels(signal, sampleRateHz, OCTAVES),
  );
  return {
    loudnessDifferenceDb: meanLoudness(aV, sampleRateHz) - meanLoudness(bV, sampleRateHz),
    rmsDifferenceDb: 10 * Math.log10(meanSquare(aV) / meanSquare(bV)),
    null: found,
    bands: OCTAVES.map(({ hz }, index) => ({
      hz,
      aDb: aBands![index]!,
      bDb: bBands![index]!,
      nullDb: left![index]! - aBands![index]!,
    })),
  };
}

function meanLoudness(signal: Float64Array, sampleRateHz: number): number {
  const meter = new LoudnessMeter(sampleRateHz, signal.length);
  meter.process(signal, signal.length);
  return meter.mean;
}

function meanSquare(signal: Float64Array): number {
  return signal.reduce((sum, value) => sum + value * value, 0) / signal.length;
}
