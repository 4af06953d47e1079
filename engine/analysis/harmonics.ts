import type { Network } from '../network/network.ts';
import { renderOffline } from './offline-render.ts';

/** What a sine becomes in a build. */
export interface Harmonics {
  readonly fundamentalHz: number;
  /** Peak of the input, V. */
  readonly inputPeakV: number;
  /** Amplitude of the fundamental at the output, V. */
  readonly fundamentalV: number;
  /** Second to tenth harmonic relative to the fundamental, dB. */
  readonly relativeDb: readonly number[];
  /** THD_F, relative to the fundamental, a ratio: the root of the summed squares of the harmonics. */
  readonly distortionOfFundamental: number;
}

const SAMPLE_RATE_HZ = 48_000;
const HIGHEST = 10;
const SETTLE_SECONDS = 0.5;
/** Whole periods of any whole frequency. */
const MEASURE_SECONDS = 1;

/**
 * Harmonics of a steady sine, at 8x with linear-phase filters; over one second, so that the frequency has to be
 * a whole number of hertz.
 *
 * @throws RangeError for a frequency that is not; NetworkError, OperatingPointError.
 */
export function harmonicsOf(network: Network, fundamentalHz: number, inputPeakV: number): Harmonics {
  if (!Number.isInteger(fundamentalHz) || fundamentalHz < 1) {
    throw new RangeError(`harmonics are measured at a whole number of hertz, not at ${fundamentalHz}`);
  }
  const length = SAMPLE_RATE_HZ * (SETTLE_SECONDS + MEASURE_SECONDS);
  const inputV = Float64Array.from(
    { length },
    (_, index) => inputPeakV * Math.sin((2 * Math.PI * fundamentalHz * index) / SAMPLE_RATE_HZ),
  );
  const options = { factor: 8, quality: 'linear-phase', sampleRateHz: SAMPLE_RATE_HZ } as const;
  const settled = renderOffline(network, inputV, options).outputV.subarray(SAMPLE_RATE_HZ * SETTLE_SECONDS);
  const count = Math.min(HIGHEST, Math.floor(20_000 / fundamentalHz));
  const amplitudes = Array.from({ length: count }, (_, index) =>
    amplitude(settled, fundamentalHz * (index + 1)),
  );
  const [fundamentalV = 0, ...others] = amplitudes;
  return {
    fundamentalHz,
    inputPeakV,
    fundamentalV,
    relativeDb: others.map((value) => 20 * Math.log10(value / fundamentalV)),
    distortionOfFundamental: Math.hypot(...others) / fundamentalV,
  };
}

/** Amplitude of one frequency with whole periods in the signal: one bin of its Fourier transform. */
function amplitude(signal: Float64Array, hz: number): number {
  let re = 0;
  let im = 0;
  for (let index = 0; index < signal.length; index++) {
    const phase = (2 * Math.PI * hz * index) / SAMPLE_RATE_HZ;
    re += signal[index]! * Math.cos(phase);
    im -= signal[index]! * Math.sin(phase);
  }
  return (2 * Math.hypot(re, im)) / signal.length;
}
