import { GROUND, type NodeName } from '../devices/node.ts';
import { type Origin, ofPart } from '../devices/origin.ts';
import { compose } from '../network/compose.ts';
import type { Network, Primitive } from '../network/network.ts';
import { pruneNetwork } from '../network/prune.ts';
import { type OperatingPoint, operatingPoint } from '../solver/operating-point.ts';
import { FrequencyResponse } from './frequency-response.ts';

/** Swing of the output of an active part. */
export interface SwingLimit {
  readonly ref: string;
  readonly origin: Origin;
  /** Net that the part drives. */
  readonly net: NodeName;
  /** Voltage at the operating point, and the highest and lowest reachable ones, V against ground. */
  readonly restV: number;
  readonly highV: number;
  readonly lowV: number;
}

type Follower = Primitive & { readonly kind: 'npn' | 'pnp' };

/** Collector-emitter saturation voltage of a small-signal transistor, V; from memory, at a few mA. */
const SATURATION_V = 0.2;
/** Test current source: a resistance from 1 V, ohms, so large that the measured net does not matter. */
const TEST_OHMS = 1e12;
/** Ties the input to ground while an impedance is measured. */
const SHORT_OHMS = 1e-3;

/**
 * Swing limits of the active parts of a network. An op-amp reaches its headroom below its supply pins; a load Z takes
 * its share, R/(R + |Z|) of what is between rest and limit, by the R that is lost for each ampere; Z is that of a small signal, and
 * conducting diodes behind it take more (clean-plain's gain stage reaches an eighth less). A
 * transistor follower reaches up to its collector less the saturation voltage, and down to where it no longer
 * conducts,
 *
 *   v = v_rest − I_rest·|Z(f)|
 *
 * since from there on only the impedance at its emitter, Z, pulls: the load of the next stage takes its share
 * of the headroom (for a PNP with all signs reversed). Followers are transistors with their collector on a supply.
 *
 * @param hz Frequency at which Z is taken. @throws NetworkError, OperatingPointError.
 */
export function swingLimits(unpruned: Network, hz: number): readonly SwingLimit[] {
  const network = pruneNetwork(unpruned);
  const rest = operatingPoint(network);
  return network.primitives.flatMap((primitive): SwingLimit[] => {
    if (primitive.kind === 'opamp') return [opampLimit(primitive, network, rest, hz)];
    return isFollower(primitive, network) ? [followerLimit(primitive, network, rest, hz)] : [];
  });
}

function opampLimit(
  opamp: Primitive & { kind: 'opamp' },
  network: Network,
  rest: OperatingPoint,
  hz: number,
): SwingLimit {
  const { volts } = rest;
  const [, , out, positive, negative] = opamp.nodes;
  const { net, headroomHighV, headroomLowV } = opamp.drives ?? { net: out, ...opamp.data };
  const restV = volts.get(net) ?? 0;
  const highV = (volts.get(positive) ?? 0) - headroomHighV;
  const lowV = (volts.get(negative) ?? 0) + headroomLowV;
  const { ref, origin, data } = opamp;
  const ohms = data.underLoad?.saturationOhms ?? 0;
  if (ohms === 0) return { ref, origin, net, restV, highV, lowV };
  const held = { ...network, primitives: network.primitives.filter((primitive) => primitive !== opamp) };
  const lostV = ohms * restCurrentA(net, held, rest);
  const z = impedanceOhms(net, held, rest, hz);
  const share = z / (z + ohms);
  const loaded = (limitV: number) => restV + share * (limitV - lostV - restV);
  return { ref, origin, net, restV, highV: loaded(highV), lowV: loaded(lowV) };
}

function isFollower(primitive: Primitive, { primitives, rails }: Network): primitive is Follower {
  if (primitive.kind !== 'npn' && primitive.kind !== 'pnp') return false;
  const [collector] = primitive.nodes;
  const isSource = primitives.some(({ kind, nodes }) => kind === 'voltageSource' && nodes[0] === collector);
  return collector === GROUND || rails.includes(collector) || isSource;
}

function followerLimit(follower: Follower, network: Network, rest: OperatingPoint, hz: number): SwingLimit {
  const { ref, origin, kind, nodes } = follower;
  const [collector, , net] = nodes;
  const restV = rest.volts.get(net) ?? 0;
  const saturated = rest.volts.get(collector) ?? 0;
  const without = {
    ...network,
    primitives: network.primitives.filter((primitive) => primitive !== follower),
  };
  const cutOff = restV - restCurrentA(net, without, rest) * impedanceOhms(net, without, rest, hz);
  return kind === 'npn'
    ? { ref, origin, net, restV, highV: saturated - SATURATION_V, lowV: cutOff }
    : { ref, origin, net, restV, highV: cutOff, lowV: saturated + SATURATION_V };
}

/** DC out of a net through its resistors, A: the follower's current at the operating point. */
function restCurrentA(net: NodeName, { primitives }: Network, { volts }: OperatingPoint): number {
  let amps = 0;
  for (const primitive of primitives) {
    if (primitive.kind !== 'resistor' || !primitive.nodes.includes(net)) continue;
    const other = primitive.nodes.find((node) => node !== net);
    if (other !== undefined) amps += ((volts.get(net) ?? 0) - (volts.get(other) ?? 0)) / primitive.ohms;
  }
  return amps;
}

/** Small-signal impedance between a net and ground with the input at 0 V, ohms. */
function impedanceOhms(net: NodeName, network: Network, rest: OperatingPoint, hz: number): number {
  const test: Network = {
    input: 'source',
    output: 'probe',
    rails: [],
    temperatureK: network.temperatureK,
    primitives: [
      { kind: 'resistor', ...ofPart('source'), nodes: ['source', 'probe'], ohms: TEST_OHMS },
      { kind: 'resistor', ...ofPart('short'), nodes: ['shorted', GROUND], ohms: SHORT_OHMS },
    ],
  };
  const tested = (own: NodeName, net: NodeName) => [
    { unit: '', net: own },
    { unit: 'test', net },
  ];
  const driven = compose(
    [
      { id: 'test', network: test },
      { id: '', network },
    ],
    [tested(net, 'probe'), tested(network.input, 'shorted')],
  ).network;
  return TEST_OHMS * 10 ** (new FrequencyResponse(driven, rest).at(hz, net).decibels / 20);
}
