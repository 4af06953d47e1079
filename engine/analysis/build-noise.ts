import type { Build } from '../builds/build.ts';
import { bypassedNetworkOf } from '../builds/bypassed-network.ts';
import { USUAL_INSTRUMENT, withInstrument } from '../builds/instrument.ts';
import { networkOf } from '../builds/network-of-build.ts';
import type { Network } from '../network/network.ts';
import { type Noise, type NoiseContribution, noiseOf } from './noise.ts';

/** What is plugged into the input while the noise is measured. */
export type NoiseInput = 'pickup' | 'shorted';
export const NOISE_INPUTS: readonly NoiseInput[] = ['pickup', 'shorted'];

/** Each input in words, with its values. */
export const NOISE_INPUT_TITLE: Readonly<Record<NoiseInput, string>> = {
  pickup:
    'a single-coil pickup at the input (7k, 2.5\u00a0H, 250k volume and tone full up, 6\u00a0m of cable)',
  shorted: 'the input shorted',
};

/** State of the bench for the noise of a build. */
export interface NoiseConditions {
  readonly input: NoiseInput;
  readonly temperatureK: number;
  readonly isBypassed: boolean;
}

/** Noise of a build at its output, with something at its input. @throws NetworkError, OperatingPointError. */
export function buildNoise(build: Build, { input, temperatureK, isBypassed }: NoiseConditions): Noise {
  const network = (isBypassed ? bypassedNetworkOf : networkOf)(build, temperatureK);
  return noiseOf(withInput(network, input));
}

/** The network with the impedance of an instrument before its input, as parts; the voltage of the strings is the new input. */
export function withInput(network: Network, input: NoiseInput): Network {
  if (input === 'shorted') return network;
  return withInstrument(network, USUAL_INSTRUMENT);
}

const HALF = 0.5;
/** Noise sources outside the build, in words. */
const PART_NAMES: Readonly<Record<string, string>> = {
  'guitar:pickup': 'the pickup',
  'guitar:volume': "the guitar's volume control",
  'guitar:tone': "the guitar's tone control",
  'bypass:JFET': "the bypass's JFET",
  'bypass:pull-down': "the bypass's pull-down",
};

/**
 * The main cause of the noise, in one sentence: "Most of it (71 %) is U1A's voltage noise, at 40.7 dB of gain."
 */
export function loudestSource({ contributions }: Noise): string {
  const [first, second] = contributions;
  if (!first || !(first.weightedV > 0)) return 'No noise reaches the output.';
  const percent = (share: number) => `${Math.round(100 * share)} %`;
  const gain = first.gainDb === undefined ? '' : `, at ${first.gainDb.toFixed(1)} dB of gain`;
  const nameOf = ({ part, kind }: NoiseContribution) => `${PART_NAMES[part] ?? part}'s ${kind}`;
  const name = nameOf(first);
  if (first.share >= HALF || !second) return `Most of it (${percent(first.share)}) is ${name}${gain}.`;
  const next = `${nameOf(second)} (${percent(second.share)})`;
  return `The largest share (${percent(first.share)}) is ${name}${gain}; next comes ${next}.`;
}
