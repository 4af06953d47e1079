import { deviceModel } from '../devices/devices.ts';
import { GROUND, type NodeName } from '../devices/node.ts';
import type { Origin } from '../devices/origin.ts';
import type { Network, Primitive } from './network.ts';

/**
 * A network in SI numbers, complete: other software can solve it from these fields alone by Kirchhoff's current
 * law at every node but ground, the input and the plus of each source. Between the two nodes of a part
 *
 *   resistor        i = v/ohms
 *   capacitor       i = farads·dv/dt
 *   inductor        v = henries·di/dt
 *   voltageSource   v = volts, its second node being ground
 *
 * and for devices what their files in engine/devices state beside their words. Junctions have the thermal voltage
 * V_T = k·temperatureK/q, with k = 1.380649e-23 J/K and q = 1.602176634e-19 C; all other numbers are as they are at
 * that temperature.
 */
export interface Netlist {
  /** The node of 0 V. */
  readonly ground: NodeName;
  /** The node held at the input's voltage; 0 V at rest. */
  readonly input: NodeName;
  /** The node whose voltage is heard. */
  readonly output: NodeName;
  /** Shared supply and bias nets; nodes like any other. */
  readonly rails: readonly NodeName[];
  readonly temperatureK: number;
  readonly parts: readonly NetlistPart[];
}

/** One part, its numbers under names that end in their unit. */
export interface NetlistPart {
  /** Designator, for reading. */
  readonly ref: string;
  /** The part of the build that it comes from. */
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
