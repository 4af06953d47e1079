import { deviceModel, isDevice } from '../devices/devices.ts';
import { GROUND, type NodeName } from '../devices/node.ts';
import type { Network, Primitive } from './network.ts';

/**
 * The network without parts that can carry no current: those with both ends on one node, and those that are
 * connected at one end only, such as a diode behind an open switch, with everything in parallel.
 */
export function pruneNetwork(network: Network): Network {
  const kept = new Set<NodeName>([GROUND, network.input, network.output, ...network.rails]);
  let primitives = network.primitives.filter((primitive) => !isBridged(primitive));
  for (;;) {
    const neighbours = neighboursOf(primitives);
    const dangles = (node: NodeName) => !kept.has(node) && neighbours.get(node)?.size === 1;
    const remaining = primitives.filter(
      (primitive) => !isTwoTerminal(primitive) || !primitive.nodes.some(dangles),
    );
    if (remaining.length === primitives.length) return { ...network, primitives };
    primitives = remaining;
  }
}

/** Number of parts at each node. A part that cannot be pruned counts as two, so that its nodes stay. */
function neighboursOf(primitives: readonly Primitive[]): Map<NodeName, Set<NodeName>> {
  const neighbours = new Map<NodeName, Set<NodeName>>();
  for (const primitive of primitives) {
    for (const node of primitive.nodes) {
      const reached = neighbours.get(node) ?? new Set<NodeName>();
      for (const other of primitive.nodes) if (other !== node) reached.add(other);
      if (!isTwoTerminal(primitive)) reached.add(node);
      neighbours.set(node, reached);
    }
  }
  return neighbours;
}

/** Whether the same current flows in at one end of a part and out at the other. */
function isTwoTerminal(primitive: Primitive): boolean {
  if (isDevice(primitive)) return deviceModel(primitive.kind).carriesOneCurrent(primitive);
  return primitive.kind !== 'voltageSource';
}

function isBridged(primitive: Primitive): boolean {
  return isTwoTerminal(primitive) && primitive.nodes.every((node) => node === primitive.nodes[0]);
}
