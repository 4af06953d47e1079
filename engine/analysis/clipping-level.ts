import type { Network } from '../network/network.ts';
import { type Harmonics, harmonicsOf } from './harmonics.ts';

/**
 * Distortion at which a build counts as clipping, a ratio (THD_F): where an overdrive has clearly begun. Common
 * practice, no source.
 */
export const CLIPPING_THD = 0.03;

const LEAST_V = 1e-4;
const MOST_V = 10;
const STEP = Math.sqrt(10);
/** Bracketed to this ratio before it is interpolated. */
const BRACKET_RATIO = 1.1;

/** Where a sine begins to be clipped. */
export interface ClippingLevel {
  /** Peak at the input, V. */
  readonly inputPeakV: number;
  /** Amplitude of the fundamental at the output then, V. */
  readonly outputPeakV: number;
}

/**
 * Lowest level at which a sine's THD_F reaches 3 %, by bisection in decibels and interpolation of log THD over log
 * level; good to about a percent. Undefined where it lies outside 0.1 mV to 10 V.
 *
 * @param measured Harmonics of one frequency at one or more rising levels, to start from.
 * @throws NetworkError, OperatingPointError, RangeError without a measurement.
 */
export function clippingLevel(network: Network, measured: readonly Harmonics[]): ClippingLevel | undefined {
  const [first] = measured;
  if (!first) throw new RangeError('the clipping level is searched from at least one measurement');
  const at = (peakV: number) => harmonicsOf(network, { hz: first.fundamentalHz, peakV });
  const bracket = bracketOf(measured, at);
  if (!bracket) return undefined;
  let [below, above] = bracket;
  while (above.inputPeakV / below.inputPeakV > BRACKET_RATIO) {
    const middle = at(Math.sqrt(below.inputPeakV * above.inputPeakV));
    if (isClipping(middle)) above = middle;
    else below = middle;
  }
  return interpolated(below, above);
}

type Bracket = readonly [below: Harmonics, above: Harmonics];

function bracketOf(measured: readonly Harmonics[], at: (peakV: number) => Harmonics): Bracket | undefined {
  const place = measured.findIndex(isClipping);
  if (place > 0) return [measured[place - 1]!, measured[place]!];
  let [below, above] = place === 0 ? [measured[0]!, measured[0]!] : [measured.at(-1)!, measured.at(-1)!];
  while (!isClipping(above)) {
    if (above.inputPeakV >= MOST_V) return undefined;
    below = above;
    above = at(Math.min(MOST_V, above.inputPeakV * STEP));
  }
  while (isClipping(below)) {
    if (below.inputPeakV <= LEAST_V) return undefined;
    above = below;
    below = at(Math.max(LEAST_V, below.inputPeakV / STEP));
  }
  return [below, above];
}

function isClipping({ distortionOfFundamental }: Harmonics): boolean {
  return distortionOfFundamental >= CLIPPING_THD;
}

function interpolated(below: Harmonics, above: Harmonics): ClippingLevel {
  const rise = Math.log(above.distortionOfFundamental / below.distortionOfFundamental);
  const share = Math.log(CLIPPING_THD / below.distortionOfFundamental) / rise;
  const between = (low: number, high: number) => low * (high / low) ** share;
  return {
    inputPeakV: between(below.inputPeakV, above.inputPeakV),
    outputPeakV: between(below.fundamentalV, above.fundamentalV),
  };
}
