import type { Build } from '../builds/build.ts';
import { bypassedNetworkOf } from '../builds/bypassed-network.ts';
import { PICKUPS, type PickupName, USUAL_INSTRUMENT, withInstrument } from '../builds/instrument.ts';
import { networkOf } from '../builds/network-of-build.ts';
import { NEXT_INPUTS, type NextInput, USUAL_OUTPUT_LOAD, withOutputLoad } from '../builds/output-load.ts';
import type { Network } from '../network/network.ts';
import { CliError } from './cli-error.ts';
import { named, numberOf, type Options, temperatureOf } from './options.ts';

/**
 * The network of a build with what is around it: a guitar by --pickup and --cable, the next input by --into and --into-cable,
 * switched off by --bypassed. @throws CliError naming the option.
 */
export function networkAround(options: Options, build: Build): Network {
  const pedal = (options.bypassed ? bypassedNetworkOf : networkOf)(build, temperatureOf(options));
  return withGuitarOf(options, withNextInputOf(options, pedal));
}

function withNextInputOf({ into, 'into-cable': cable }: Options, network: Network): Network {
  if (into === undefined) {
    if (cable !== undefined)
      throw new CliError('--into-cable needs an input at its end: name one with --into.');
    return network;
  }
  if (!Object.hasOwn(NEXT_INPUTS, into))
    throw new CliError(`--into ${named(into)} is none of ${Object.keys(NEXT_INPUTS).join(', ')}.`);
  const cableMetres = numberOf('into-cable', cable, USUAL_OUTPUT_LOAD.cableMetres);
  return withOutputLoad(network, { input: into as NextInput, cableMetres });
}

function withGuitarOf(options: Options, network: Network): Network {
  const { pickup, cable } = options;
  if (pickup === undefined) {
    if (cable !== undefined) throw new CliError('--cable needs a guitar at its end: name one with --pickup.');
    return network;
  }
  if (!Object.hasOwn(PICKUPS, pickup))
    throw new CliError(`--pickup ${named(pickup)} is none of ${Object.keys(PICKUPS).join(', ')}.`);
  const cableMetres = numberOf('cable', cable, USUAL_INSTRUMENT.cableMetres);
  return withInstrument(network, { ...USUAL_INSTRUMENT, pickup: pickup as PickupName, cableMetres });
}
