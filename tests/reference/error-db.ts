import { bandLimit, OUTPUT_RATE_HZ } from './band-limit.ts';
import { sampleSignal, signalOf } from './signals.ts';
import type { WaveVector } from './vectors.ts';

/** For references quieter than this, the error is relative to this level, V. */
const FLOOR_V = 1e-3;

/**
 * RMS of the difference divided by the larger of the reference's RMS and 1 mV, dB. −Infinity if both are equal.
 *
 * @throws RangeError when the lengths differ.
 */
export function errorDb(actual: Float64Array, reference: Float64Array): number {
  if (actual.length !== reference.length) {
    throw new RangeError(`${actual.length} samples against ${reference.length} of the reference`);
  }
  let difference = 0;
  let level = 0;
  for (let k = 0; k < reference.length; k += 1) {
    difference += (actual[k]! - reference[k]!) ** 2;
    level += reference[k]! ** 2;
  }
  const scale = Math.max(FLOOR_V, Math.sqrt(level / reference.length));
  return 20 * Math.log10(Math.sqrt(difference / reference.length) / scale);
}

/**
 * Output of a circuit at rest before its first sample.
 *
 * @param inputV Volts at `sampleRateHz`, the first at t = 0.
 * @returns Volts at the same instants, same length.
 */
export type Render = (inputV: Float64Array, sampleRateHz: number) => Float64Array;

/**
 * Error of a solver relative to one reference wave: the exact input at 48 kHz·factor, the output through the
 * common low-pass, compared at the 48 kHz times of the vector.
 */
export function waveErrorDb(wave: WaveVector, factor: number, render: Render): number {
  const rateHz = OUTPUT_RATE_HZ * factor;
  const inputV = sampleSignal(signalOf(wave.input), rateHz, wave.durationSeconds);
  return errorDb(bandLimit(render(inputV, rateHz), factor), wave.outputV);
}
