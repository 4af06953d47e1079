import type { Build } from '../builds/build.ts';
import { bypassedNetworkOf } from '../builds/bypassed-network.ts';
import { type Instrument, PICKUPS, type PickupName, USUAL_INSTRUMENT } from '../builds/instrument.ts';
import { networkOf } from '../builds/network-of-build.ts';
import { NEXT_INPUTS, type NextInput, type OutputLoad, USUAL_OUTPUT_LOAD } from '../builds/output-load.ts';
import { type Surroundings, surroundingsText, withSurroundings } from '../builds/surroundings.ts';
import type { Network } from '../network/network.ts';
import { CliError } from './cli-error.ts';
import { named, numberOf, type Options, temperatureOf } from './options.ts';

/** The network of a build with what is around it, switched off by --bypassed. @throws CliError naming the option. */
export function networkAround(options: Options, build: Build): Network {
  return withSurroundings(pedalOf(options, build), surroundingsOf(options));
}

/** The same from the pedal's own input, where the level of a test is stated. @throws CliError naming the option. */
export function loadedNetworkAround(options: Options, build: Build): Network {
  const { load } = surroundingsOf(options);
  return withSurroundings(pedalOf(options, build), { load });
}

/** What is around the pedal, and whether it is switched off, in sentences. @throws CliError naming the option. */
export function aroundText(options: Options): string {
  const around = surroundingsText(surroundingsOf(options));
  return options.bypassed ? `${around} The pedal is switched off.` : around;
}

function pedalOf(options: Options, build: Build): Network {
  return (options.bypassed ? bypassedNetworkOf : networkOf)(build, temperatureOf(options));
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
