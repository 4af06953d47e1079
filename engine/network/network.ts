import type { Device } from '../devices/devices.ts';
import type { NodeName } from '../devices/node.ts';
import type { PrimitiveBase } from '../devices/origin.ts';

/**
 * The network as the solver sees it: primitives between named nodes, in SI units.
 *
 * Everything that a build says (fits, counts, potentiometer positions, switch positions) is already
 * resolved here; what is left is an electrical network that an outsider could solve with other software.
 */

export interface Resistor extends PrimitiveBase {
  readonly kind: 'resistor';
  readonly nodes: readonly [NodeName, NodeName];
  readonly ohms: number;
  /** Half of a potentiometer's track: on its way to another value it moves in proportion, as a wiper does. */
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
  /** Node that is heard. */
  readonly output: NodeName;
  /**
   * Supply and bias nodes that the stages share. Where such a node has a large capacitor to ground the
   * solver advances it beside the stages; they are the only nodes for which it may.
   */
  readonly rails: readonly NodeName[];
  readonly temperatureK: number;
  readonly primitives: readonly Primitive[];
}
