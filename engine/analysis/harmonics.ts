import type { NodeName } from '../devices/node.ts';
import type { Network } from '../network/network.ts';
import { type SineTest, type SteadySine, steadySine } from './steady-sine.ts';

/** Harmonics of a sine at a net, and whether they can be relied on. */
export interface Harmonics extends Pick<SteadySine, 'isSettled' | 'failures'> {
  readonly fundamentalHz: number;
  /** Peak of the input, V. */
  readonly inputPeakV: number;
  /** Amplitude of the fundamental at the net, V. */
  readonly fundamentalV: number;
  /** Second to tenth harmonic relative to the fundamental, dB; fewer if the others lie above 20 kHz. */
  readonly relativeDb: readonly number[];
  /** THD_F, relative to the fundamental, a ratio: the root of the summed squares of the harmonics. */
  readonly distortionOfFundamental: number;
}

const HIGHEST = 10;
const AUDIBLE_HZ = 20_000;

/**
 * Harmonics of a steady sine at a network's output. @throws RangeError for a frequency or level that is not positive;
 * NetworkError, OperatingPointError.
 */
export function harmonicsOf(network: Network, test: SineTest): Harmonics {
  return harmonicsAt(steadySine(network, test, [network.output]), network.output);
}

/** Harmonics of a steady sine at one of its recorded nets. @throws RangeError for another net. */
export function harmonicsAt({ hz, peakV, volts, isSettled, failures }: SteadySine, net: NodeName): Harmonics {
  const period = volts.get(net);
  if (!period) throw new RangeError(`the steady sine was not recorded at net "${net}"`);
  const count = Math.max(1, Math.min(HIGHEST, Math.floor(AUDIBLE_HZ / hz)));
  const amplitudes = Array.from({ length: count }, (_, index) => amplitude(period, index + 1));
  const [fundamentalV = 0, ...others] = amplitudes;
  return {
    fundamentalHz: hz,
    inputPeakV: peakV,
    fundamentalV,
    relativeDb: others.map((value) => 20 * Math.log10(value / fundamentalV)),
    distortionOfFundamental: Math.hypot(...others) / fundamentalV,
    isSettled,
    failures,
  };
}

/** Amplitude of the k-th harmonic of one period: one bin of its Fourier transform. */
function amplitude(period: Float64Array, k: number): number {
  let re = 0;
  let im = 0;
  for (let n = 0; n < period.length; n++) {
    const phase = (2 * Math.PI * k * n) / period.length;
    re += period[n]! * Math.cos(phase);
    im -= period[n]! * Math.sin(phase);
  }
  return (2 * Math.hypot(re, im)) / period.length;
}
