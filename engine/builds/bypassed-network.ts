import { INPUT_NET, OUTPUT_NET } from '../circuits/circuit-nets.ts';
import { GROUND } from '../devices/node.ts';
import { ofPart } from '../devices/origin.ts';
import { compose } from '../network/compose.ts';
import type { Network } from '../network/network.ts';
import { withBiasedCapacitors } from './biased-capacitors.ts';
import type { Build } from './build.ts';
import { withLeakage } from './leakage.ts';
import { networkInPosition, networkOfStages, nodeOfNet } from './network-of-build.ts';
import { STAND_IN_LOAD } from './output-load.ts';

/** Load of the output where none is stated, ohms: the usual input of an amplifier. It keeps the output net defined. */
const LOAD_OHMS = 1e6;
/** Coupling and pull-down behind a buffer that drives the output by itself. */
const COUPLING_FARADS = 1e-6;
const PULL_DOWN_OHMS = 100e3;
/** Coupling into the output buffer, and the JFET that is switched on; common practice, no source. */
const LINK_FARADS = 100e-9;
const JFET_ON_OHMS = 150;

/**
 * The network of a build with the pedal switched off. With true bypass that is a wire: the circuit is cut off at both ends.
 * Otherwise it is the whole circuit with its footswitch in the other position. A circuit without a footswitch among its parts
 * has its buffers in the path, with parts of fixed values between them.
 */
export function bypassedNetworkOf(build: Build, temperatureK: number): Network {
  if (build.bypass === 'true') return wire(temperatureK);
  const { footswitch, bufferedNet, inputStages, outputBuffer } = build.circuit.bypass;
  if (footswitch) return networkInPosition(build, 'bypassed', temperatureK);
  if (bufferedNet === undefined || inputStages === undefined)
    throw new RangeError(`the circuit ${build.circuit.id} has no bypass`);
  const isSwitched = build.bypass === 'transistor-switched' && outputBuffer !== undefined;
  const stages = isSwitched ? [...inputStages, outputBuffer.stage] : inputStages;
  const pedal = networkOfStages(build, stages, temperatureK);
  const path = isSwitched ? linkThroughJfet(temperatureK) : couplingToOutput(temperatureK);
  const [from, to] = [bufferedNet, isSwitched ? outputBuffer.inputNet : OUTPUT_NET].map((net) => ({
    unit: '',
    net: nodeOfNet(build, net) ?? net,
  }));
  const { network } = compose(
    [
      { id: '', network: pedal },
      { id: 'bypass', network: path },
    ],
    [
      [from!, { unit: 'bypass', net: path.input }],
      [to!, { unit: 'bypass', net: path.output }],
    ],
    { input: { unit: '', net: pedal.input }, output: { unit: '', net: pedal.output } },
  );
  return withBiasedCapacitors(withLeakage(network, build), build);
}

function wire(temperatureK: number): Network {
  return {
    input: INPUT_NET,
    output: INPUT_NET,
    rails: [],
    temperatureK,
    primitives: [{ kind: 'resistor', ...ofPart(STAND_IN_LOAD), nodes: [INPUT_NET, GROUND], ohms: LOAD_OHMS }],
  };
}

/** The path from the input buffer to the output buffer, without the circuit between. */
function linkThroughJfet(temperatureK: number): Network {
  return {
    input: 'buffered',
    output: 'switched',
    rails: [],
    temperatureK,
    primitives: [
      { kind: 'capacitor', ...ofPart('coupling'), nodes: ['buffered', 'link'], farads: LINK_FARADS },
      { kind: 'resistor', ...ofPart('JFET'), nodes: ['link', 'switched'], ohms: JFET_ON_OHMS },
      { kind: 'resistor', ...ofPart('pull-down'), nodes: ['link', GROUND], ohms: PULL_DOWN_OHMS },
    ],
  };
}

function couplingToOutput(temperatureK: number): Network {
  return {
    input: 'buffered',
    output: 'out',
    rails: [],
    temperatureK,
    primitives: [
      { kind: 'capacitor', ...ofPart('coupling'), nodes: ['buffered', 'out'], farads: COUPLING_FARADS },
      { kind: 'resistor', ...ofPart('pull-down'), nodes: ['out', GROUND], ohms: PULL_DOWN_OHMS },
    ],
  };
}
