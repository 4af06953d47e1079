import type { Network } from '../network/network.ts';
import type { Build } from './build.ts';
import { type Instrument, PICKUPS, withInstrument } from './instrument.ts';
import { isFullUp, turnedText } from './instrument-text.ts';
import { networkOf } from './network-of-build.ts';
import { type OutputLoad, outputLoadText, withOutputLoad } from './output-load.ts';

/** What a build is played with: the guitar before it, and the cable and the input after it. */
export interface Surroundings {
  /** Undefined where the input is driven by a voltage. */
  readonly instrument?: Instrument | undefined;
  /** Undefined if the output is left open. */
  readonly load?: OutputLoad | undefined;
}

/** How a build is played while something of it is measured: the state of the bench. */
export interface PlayedConditions {
  readonly temperatureK: number;
  readonly around: Surroundings;
}

/** A build with what is before and after it; the strings' voltage is the input. @throws BuildError, NetworkError. */
export function networkWithin(build: Build, temperatureK: number, around: Surroundings): Network {
  return withSurroundings(networkOf(build, temperatureK), around);
}

/** From the pedal's own input: figures such as a clipping level are stated there. @throws BuildError, NetworkError. */
export function loadedNetwork(build: Build, temperatureK: number, { load }: Surroundings): Network {
  return withSurroundings(networkOf(build, temperatureK), { load });
}

export function withSurroundings(network: Network, { instrument, load }: Surroundings): Network {
  const loaded = load ? withOutputLoad(network, load) : network;
  return instrument ? withInstrument(loaded, instrument) : loaded;
}

/**
 * In one sentence: "Before the pedal a single-coil pickup and 6 m of cable, after it 3 m of cable into an amplifier." Volume and
 * tone of the guitar are said where they are not full up.
 */
export function surroundingsText({ instrument, load }: Surroundings): string {
  const before = instrument && beforeText(instrument);
  const after = load && `after ${before ? 'it' : 'the pedal'} ${outputLoadText(load)}`;
  const [first, ...others] = [before, after].filter((part) => part !== undefined);
  if (first === undefined) return 'No pickup is before the pedal, and its output is left open.';
  return `${[first[0]!.toUpperCase() + first.slice(1), ...others].join(', ')}.`;
}

function beforeText(instrument: Instrument): string {
  const pickup = `before the pedal a ${PICKUPS[instrument.pickup].title} pickup`;
  const cable = `${instrument.cableMetres}\u00a0m of cable`;
  return isFullUp(instrument)
    ? `${pickup} and ${cable}`
    : `${pickup}, volume and tone ${turnedText(instrument)}, and ${cable}`;
}
