import type { Build } from '../builds/build.ts';
import { networkOfPedal } from '../builds/chain.ts';
import { type Instrument, PICKUPS, USUAL_INSTRUMENT, withInstrument } from '../builds/instrument.ts';
import { turnedText } from '../builds/instrument-text.ts';
import { outputLoadText } from '../builds/output-load.ts';
import { type Surroundings, withSurroundings } from '../builds/surroundings.ts';
import type { Network } from '../network/network.ts';
import { type Noise, type NoiseContribution, noiseOf } from './noise.ts';

/** What is plugged into the input while the noise is measured. */
export type NoiseInput = 'pickup' | 'shorted';
export const NOISE_INPUTS: readonly NoiseInput[] = ['pickup', 'shorted'];

/** What is at the input and after the output, in words with its values. */
export function noiseInputText(
  input: NoiseInput,
  { instrument = USUAL_INSTRUMENT, load }: Surroundings,
): string {
  const before = input === 'shorted' ? 'the input shorted' : `${guitarText(instrument)} at the input`;
  return load ? `${before} and ${outputLoadText(load)} at the output` : before;
}

function guitarText(instrument: Instrument): string {
  const { pickup, cableMetres } = instrument;
  const { title, ohms, henries, potOhms } = PICKUPS[pickup];
  const values = [
    `${ohms / 1e3}k`,
    `${henries}\u00a0H`,
    `${potOhms / 1e3}k volume and tone ${turnedText(instrument)}`,
    `${cableMetres}\u00a0m of cable`,
  ];
  return `a ${title} pickup (${values.join(', ')})`;
}

/** State of the bench for the noise of a build. */
export interface NoiseConditions {
  readonly input: NoiseInput;
  readonly temperatureK: number;
  readonly isBypassed: boolean;
  /** Its guitar stands for the pickup; without one it is {@link USUAL_INSTRUMENT}. */
  readonly around: Surroundings;
}

/** Noise of a build at its output, with something at its input. @throws NetworkError, OperatingPointError. */
export function buildNoise(
  build: Build,
  { input, temperatureK, isBypassed, around: { instrument, load, chain } }: NoiseConditions,
): Noise {
  const isOn = !isBypassed && (chain?.isOn ?? true);
  const pedal = networkOfPedal({ build, isOn }, temperatureK);
  return noiseOf(withInput(withSurroundings(pedal, { load, chain }), input, instrument));
}

/** The network with the impedance of an instrument before its input, as parts; the voltage of the strings is the new input. */
export function withInput(
  network: Network,
  input: NoiseInput,
  instrument: Instrument = USUAL_INSTRUMENT,
): Network {
  if (input === 'shorted') return network;
  return withInstrument(network, instrument);
}

const HALF = 0.5;
/** Noise sources outside the build, in words. */
const PART_NAMES: Readonly<Record<string, string>> = {
  'guitar:pickup': 'the pickup',
  'guitar:volume': "the guitar's volume control",
  'guitar:tone': "the guitar's tone control",
  'after:input': 'the next input',
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
