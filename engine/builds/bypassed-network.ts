import { GROUND_NET, INPUT_NET, OUTPUT_NET } from '../circuits/circuit-nets.ts';
import type { Network, Primitive } from '../network/network.ts';
import type { Build } from './build.ts';
import { networkOfStages } from './network-of-build.ts';

/** What follows the pedal, as a load that keeps the output net defined, ohms: an amplifier's usual input. */
const LOAD_OHMS = 1e6;
/** Coupling and pull-down behind a buffer that drives the output by itself. */
const COUPLING_FARADS = 1e-6;
const PULL_DOWN_OHMS = 100e3;
/** Coupling into the output buffer, and the JFET that is switched on; common practice, no source. */
const LINK_FARADS = 100e-9;
const JFET_ON_OHMS = 150;

/**
 * The network of a build with the pedal switched off. With true bypass that is a wire; with a buffered or
 * transistor-switched bypass the buffers stay in the path, and their loading and noise with them. While the pedal
 * is on, the bypass is taken to be no part of the path.
 */
export function bypassedNetworkOf(build: Build, temperatureK: number): Network {
  const { bypass } = build.circuit;
  const { bufferedNet, inputStages, outputBuffer } = bypass;
  if (build.bypass === 'true') return wire(temperatureK);
  if (build.bypass === 'transistor-switched' && outputBuffer) {
    const network = networkOfStages(build, [...inputStages, outputBuffer.stage], temperatureK);
    const link = 'bypass link';
    return withPrimitives(network, [
      { kind: 'capacitor', ref: 'bypass coupling', nodes: [bufferedNet, link], farads: LINK_FARADS },
      { kind: 'resistor', ref: 'bypass JFET', nodes: [link, outputBuffer.inputNet], ohms: JFET_ON_OHMS },
      { kind: 'resistor', ref: 'bypass pull-down', nodes: [link, GROUND_NET], ohms: PULL_DOWN_OHMS },
    ]);
  }
  return withPrimitives(networkOfStages(build, inputStages, temperatureK), [
    { kind: 'capacitor', ref: 'bypass coupling', nodes: [bufferedNet, OUTPUT_NET], farads: COUPLING_FARADS },
    { kind: 'resistor', ref: 'bypass pull-down', nodes: [OUTPUT_NET, GROUND_NET], ohms: PULL_DOWN_OHMS },
  ]);
}

function wire(temperatureK: number): Network {
  return {
    input: INPUT_NET,
    output: INPUT_NET,
    rails: [],
    temperatureK,
    primitives: [{ kind: 'resistor', ref: 'load', nodes: [INPUT_NET, GROUND_NET], ohms: LOAD_OHMS }],
  };
}

function withPrimitives(network: Network, added: readonly Primitive[]): Network {
  return { ...network, primitives: [...network.primitives, ...added] };
}
