import { GROUND, type NodeName } from '../devices/node.ts';
import { inUnit, ofUnit } from '../devices/origin.ts';
import type { Network, Primitive } from './network.ts';

/** A network that becomes part of a larger one. */
export interface Unit {
  /**
   * Prefix of its nets and parts: "guitar:hot". The unit '' keeps its names, so that names on the screen stay
   * the same when a guitar or cable is plugged in.
   */
  readonly id: string;
  readonly network: Network;
}

/** A net of a unit, by its name in the unit. */
export interface UnitNet {
  readonly unit: string;
  readonly net: NodeName;
}

/**
 * Nets that are connected to each other. The node has the name of the first of them, or is ground if one of them is. A
 * net need not touch any part of its unit: the check of the network reports what floats then.
 */
export type Joint = readonly UnitNet[];

/** Input and output of the composed network. */
export interface Ends {
  readonly input: UnitNet;
  readonly output: UnitNet;
}

export interface Composition {
  readonly network: Network;
  /** The node that a net of a unit has become. @throws RangeError for a unit that there is not. */
  readonly nodeOf: (place: UnitNet) => NodeName;
}

/**
 * One network made of several. They share ground and the joints, nothing else: each unit keeps its own supplies,
 * rails and bias. A network that was composed can be composed again: its units are then named by both ("board:first").
 *
 * @param units In the order of the signal.
 * @param ends By default the input of the first unit and the output of the last.
 * @throws RangeError for no unit, units or nets of one name, a joint with no such unit, or unequal temperatures.
 */
export function compose(units: readonly Unit[], joints: readonly Joint[], ends?: Ends): Composition {
  checkUnits(units);
  checkNames(units);
  const nodes = new JoinedNodes(units, joints);
  const renamed = ({ id, network }: Unit) => network.primitives.map((part) => inNodes(part, id, nodes));
  const railsOf = ({ id, network }: Unit) => network.rails.map((net) => nodes.nodeOf({ unit: id, net }));
  const rails = new Set(units.flatMap(railsOf));
  rails.delete(GROUND);
  const first = units[0]!;
  const last = units.at(-1)!;
  const network = {
    input: nodes.nodeOf(ends?.input ?? { unit: first.id, net: first.network.input }),
    output: nodes.nodeOf(ends?.output ?? { unit: last.id, net: last.network.output }),
    rails: [...rails],
    temperatureK: first.network.temperatureK,
    primitives: units.flatMap(renamed),
  };
  return { network, nodeOf: (place) => nodes.nodeOf(place) };
}

function checkUnits(units: readonly Unit[]): void {
  const [first] = units;
  if (!first) throw new RangeError('there is no unit to compose');
  units.forEach(({ id, network: { temperatureK } }, index) => {
    if (units.findIndex((other) => other.id === id) !== index)
      throw new RangeError(`two units have the name "${id}"`);
    if (temperatureK !== first.network.temperatureK)
      throw new RangeError(
        `unit "${id}" is at ${temperatureK} K, "${first.id}" at ${first.network.temperatureK} K`,
      );
  });
}

/** A primitive of a unit with its names in the composed network. */
function inNodes(primitive: Primitive, unit: string, nodes: JoinedNodes): Primitive {
  const nodeOf = (net: NodeName) => nodes.nodeOf({ unit, net });
  const moved = withNodes({ ...primitive, ...ofUnit(primitive, unit) }, nodeOf);
  if (moved.kind !== 'opamp' || !moved.drives) return moved;
  return { ...moved, drives: { ...moved.drives, net: nodeOf(moved.drives.net) } };
}

function withNodes<P extends Primitive>(primitive: P, nodeOf: (net: NodeName) => NodeName): P {
  return { ...primitive, nodes: primitive.nodes.map(nodeOf) };
}

/** Nets of all units by their names in the composed network, after the joints have merged some. */
class JoinedNodes {
  readonly #units: ReadonlySet<string>;
  readonly #survivor = new Map<NodeName, NodeName>();

  constructor(units: readonly Unit[], joints: readonly Joint[]) {
    this.#units = new Set(units.map(({ id }) => id));
    for (const [first, ...others] of joints) {
      if (!first) continue;
      for (const other of others) this.#join(this.nodeOf(first), this.nodeOf(other));
    }
  }

  nodeOf({ unit, net }: UnitNet): NodeName {
    if (!this.#units.has(unit)) throw new RangeError(`there is no unit "${unit}"`);
    let node = net === GROUND ? GROUND : inUnit(unit, net);
    for (let next = this.#survivor.get(node); next !== undefined; next = this.#survivor.get(node))
      node = next;
    return node;
  }

  #join(a: NodeName, b: NodeName): void {
    if (a === b) return;
    const [kept, lost] = b === GROUND ? [b, a] : [a, b];
    this.#survivor.set(lost, kept);
  }
}

/** A network that was composed before has names with a colon, which a new unit could give again. */
function checkNames(units: readonly Unit[]): void {
  const seen = new Set<NodeName>();
  for (const { id, network } of units) {
    for (const net of netsOf(network)) {
      const name = inUnit(id, net);
      if (seen.has(name)) throw new RangeError(`two units have a net of the name "${name}"`);
      seen.add(name);
    }
  }
}

function netsOf({ input, output, rails, primitives }: Network): ReadonlySet<NodeName> {
  const nets = new Set([input, output, ...rails, ...primitives.flatMap(({ nodes }) => [...nodes])]);
  nets.delete(GROUND);
  return nets;
}
