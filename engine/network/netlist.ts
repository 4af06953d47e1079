import { deviceModel, isDevice } from '../devices/devices.ts';
import { GROUND, type NodeName } from '../devices/node.ts';
import type { Network, Primitive } from './network.ts';

/** A network in SI numbers, complete enough to be solved by other software. */
export interface Netlist {
  readonly ground: NodeName;
  readonly input: NodeName;
  readonly output: NodeName;
  /** Shared supply and bias nets. */
  readonly rails: readonly NodeName[];
  readonly temperatureK: number;
  readonly parts: readonly NetlistPart[];
}

export interface NetlistPart {
  readonly ref: string;
  readonly kind: string;
  readonly nodes: readonly NodeName[];
  readonly [number: string]: unknown;
}

/** The network as data, with numbers as they are at its temperature; what the solver adds stands with the device. */
export function netlistOf(network: Network): Netlist {
  const { input, output, rails, temperatureK, primitives } = network;
  return { ground: GROUND, input, output, rails, temperatureK, parts: primitives.map(netlistPart) };
}

function netlistPart(primitive: Primitive): NetlistPart {
  if (!isDevice(primitive)) return { ...primitive };
  const { ref, kind, nodes } = primitive;
  return { ref, kind, nodes, ...deviceModel(kind).netlistWords(primitive) };
}
