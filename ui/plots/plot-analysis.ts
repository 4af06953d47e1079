import { type ClippingCurve, clippingCurve } from '../../engine/analysis/clipping-curve.ts';
import { FrequencyResponse, logarithmicFrequencies } from '../../engine/analysis/frequency-response.ts';
import { type Harmonics, harmonicsAt } from '../../engine/analysis/harmonics.ts';
import { type Level, levelPoints, levelsOf } from '../../engine/analysis/level-map.ts';
import { type SineTest, type SteadySine, steadySine } from '../../engine/analysis/steady-sine.ts';
import type { Build } from '../../engine/builds/build.ts';
import { bypassedNetworkOf } from '../../engine/builds/bypassed-network.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { probedNode } from '../../engine/builds/probe-nets.ts';
import { kelvinOf } from '../../engine/network/temperature.ts';

/** One build as it is played, and the net that is looked at: undefined for the output. */
export interface Subject {
  readonly build: Build;
  readonly isBypassed: boolean;
  readonly temperatureC: number;
  readonly probe: string | undefined;
}

export type Query =
  | { readonly kind: 'response'; readonly subject: Subject }
  | { readonly kind: 'sine'; readonly subject: Subject; readonly test: SineTest };

/** What a sine does at the probe and along the signal path. */
export interface SineAnalysis {
  /** One period of input and probe, the probe from its rest voltage, V. */
  readonly inputV: Float64Array;
  readonly probeV: Float64Array;
  readonly clipping: ClippingCurve;
  readonly harmonics: Harmonics;
  readonly levels: readonly Level[];
  readonly isSettled: boolean;
}

/** Gain from the input to the probe at each of RESPONSE_HZ, dB. */
export type ResponseAnalysis = readonly number[];

export interface Analyses {
  readonly response: ResponseAnalysis;
  readonly sine: SineAnalysis;
}

export const RESPONSE_HZ: readonly number[] = logarithmicFrequencies(20, 20_000, 181);

/**
 * Answers a query about one build. @returns Undefined where the build does not have the probed net.
 * @throws BuildError, NetworkError, OperatingPointError.
 */
export function analyse(query: Query): Analyses[Query['kind']] | undefined {
  const { build, isBypassed, temperatureC, probe } = query.subject;
  const network = (isBypassed ? bypassedNetworkOf : networkOf)(build, kelvinOf(temperatureC));
  const net = probe === undefined ? network.output : probedNode(build, network, probe);
  if (net === undefined) return undefined;
  if (query.kind === 'response') {
    const response = new FrequencyResponse(network);
    return RESPONSE_HZ.map((hz) => response.at(hz, net).decibels);
  }
  const points = isBypassed ? [] : levelPoints(build, network, query.test.hz);
  const sine = steadySine(network, query.test, [...new Set([net, ...points.map((point) => point.net)])]);
  return {
    ...periodAt(sine, net),
    clipping: clippingCurve(sine, net),
    harmonics: harmonicsAt(sine, net),
    levels: levelsOf(points, sine),
    isSettled: sine.isSettled,
  };
}

function periodAt(
  { inputV, volts, restV }: SteadySine,
  net: string,
): Pick<SineAnalysis, 'inputV' | 'probeV'> {
  const rest = restV.get(net) ?? 0;
  return { inputV, probeV: (volts.get(net) ?? inputV).map((value) => value - rest) };
}
