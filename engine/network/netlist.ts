import { deviceModel } from '../devices/devices.ts';
import { GROUND, type NodeName } from '../devices/node.ts';
import type { Origin } from '../devices/origin.ts';
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
  readonly origin: Origin;
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
  const { ref, origin, kind, nodes } = primitive;
  return { ref, origin, kind, nodes, ...numbersOf(primitive) };
}

function numbersOf(primitive: Primitive): Readonly<Record<string, unknown>> {
  switch (primitive.kind) {
    case 'resistor':
      return { ohms: primitive.ohms };
    case 'capacitor':
      return { farads: primitive.farads };
    case 'inductor':
      return { henries: primitive.henries };
    case 'voltageSource':
      return { volts: primitive.volts };
    default:
      return deviceModel(primitive.kind).netlistWords(primitive);
  }
}
