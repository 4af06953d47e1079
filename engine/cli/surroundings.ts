import { type Chain, networkOfChain, placeIn } from '../builds/chain.ts';
import { type Instrument, PICKUPS, type PickupName, USUAL_INSTRUMENT } from '../builds/instrument.ts';
import { NEXT_INPUTS, type NextInput, type OutputLoad, USUAL_OUTPUT_LOAD } from '../builds/output-load.ts';
import { listed, type Surroundings, withSurroundings } from '../builds/surroundings.ts';
import type { Network } from '../network/network.ts';
import { CliError } from './cli-error.ts';
import { named, numberOf, type Options, temperatureOf } from './options.ts';

/** The network of a chain with what is around it. @throws CliError naming the option. */
export function networkAround(options: Options, chain: Chain): Network {
  return withSurroundings(networkOfChain(chain, temperatureOf(options)), surroundingsOf(options));
}

/** The same from the first input of the chain, where the level of a test is stated. @throws CliError naming the option. */
export function drivenNetworkAround(options: Options, chain: Chain): Network {
  const { load } = surroundingsOf(options);
  return withSurroundings(networkOfChain(chain, temperatureOf(options)), { load });
}

/** What is around one pedal: the rest of its chain, and what is before and after that. @throws CliError naming the option. */
export function aroundPedal(options: Options, chain: Chain, position: number): Surroundings {
  return { ...surroundingsOf(options), chain: placeIn(chain, position) };
}

/** Which pedals are switched off, as the end of a sentence; '' for none. */
export function offText({ pedals }: Chain): string {
  if (pedals.every(({ isOn }) => isOn)) return '';
  if (pedals.length === 1) return ', the pedal switched off';
  const off = pedals.flatMap(({ isOn }, index) => (isOn ? [] : [String(index + 1)]));
  return `, ${off.length === 1 ? 'pedal' : 'pedals'} ${listed(off)} switched off`;
}

/** A guitar by --pickup and --cable, the next input by --into and --into-cable. @throws CliError naming the option. */
export function surroundingsOf(options: Options): Surroundings {
  return { instrument: guitarOf(options), load: nextInputOf(options) };
}

function nextInputOf({ into, 'into-cable': cable }: Options): OutputLoad | undefined {
  if (into === undefined) {
    if (cable !== undefined)
      throw new CliError('--into-cable needs an input at its end: name one with --into.');
    return undefined;
  }
  if (!Object.hasOwn(NEXT_INPUTS, into))
    throw new CliError(`--into ${named(into)} is none of ${Object.keys(NEXT_INPUTS).join(', ')}.`);
  return {
    input: into as NextInput,
    cableMetres: numberOf('into-cable', cable, USUAL_OUTPUT_LOAD.cableMetres),
  };
}

function guitarOf({ pickup, cable }: Options): Instrument | undefined {
  if (pickup === undefined) {
    if (cable !== undefined) throw new CliError('--cable needs a guitar at its end: name one with --pickup.');
    return undefined;
  }
  if (!Object.hasOwn(PICKUPS, pickup))
    throw new CliError(`--pickup ${named(pickup)} is none of ${Object.keys(PICKUPS).join(', ')}.`);
  const cableMetres = numberOf('cable', cable, USUAL_INSTRUMENT.cableMetres);
  return { ...USUAL_INSTRUMENT, pickup: pickup as PickupName, cableMetres };
}
