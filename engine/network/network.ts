import type { Device } from '../devices/devices.ts';
import type { NodeName } from '../devices/node.ts';
import type { PrimitiveBase } from '../devices/origin.ts';

/**
 * The network that the solver gets: primitives between named nodes, in SI units.
 *
 * Everything in a build (fits, counts, positions of potentiometers and switches) is already resolved here; what
 * remains is a plain electrical network.
 */

export interface Resistor extends PrimitiveBase {
  readonly kind: 'resistor';
  readonly nodes: readonly [NodeName, NodeName];
  readonly ohms: number;
  /** Half of a potentiometer's track: while it glides to another value it changes linearly, as a wiper moves. */
  readonly isTrack?: true;
}
export interface Capacitor extends PrimitiveBase {
  readonly kind: 'capacitor';
  readonly nodes: readonly [NodeName, NodeName];
  readonly farads: number;
}
export interface Inductor extends PrimitiveBase {
  readonly kind: 'inductor';
  readonly nodes: readonly [NodeName, NodeName];
  readonly henries: number;
}
/** Ideal source; the negative terminal must be ground. */
export interface VoltageSource extends PrimitiveBase {
  readonly kind: 'voltageSource';
  readonly nodes: readonly [plus: NodeName, minus: NodeName];
  readonly volts: number;
}

export type Primitive = Resistor | Capacitor | Inductor | VoltageSource | Device;

export interface Network {
  /** Node driven by the instrument, V against ground. */
  readonly input: NodeName;
  /** Output node. */
  readonly output: NodeName;
  /**
   * Supply and bias nodes that the stages share. If such a node has a large capacitor to ground, the solver
   * advances it separately from the stages; it may do so for no other node.
   */
  readonly rails: readonly NodeName[];
  readonly temperatureK: number;
  readonly primitives: readonly Primitive[];
}
