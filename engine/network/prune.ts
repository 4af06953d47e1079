import { GROUND, type Network, type NodeName, type Primitive } from './network.ts';

/**
 * The network without what can carry no current: parts bridged out (both ends on one node) and
 * two-terminal parts that hang from one end, such as a diode behind an open switch.
 */
export function pruneNetwork(network: Network): Network {
  const kept = new Set<NodeName>([GROUND, network.input, network.output, ...network.rails]);
  let primitives = network.primitives.filter((primitive) => !isBridged(primitive));
  for (;;) {
    const touches = new Map<NodeName, number>();
    for (const { nodes } of primitives)
      for (const node of nodes) touches.set(node, (touches.get(node) ?? 0) + 1);
    const dangles = (node: NodeName) => !kept.has(node) && touches.get(node) === 1;
    const remaining = primitives.filter(
      (primitive) => !isTwoTerminal(primitive) || !primitive.nodes.some(dangles),
    );
    if (remaining.length === primitives.length) return { ...network, primitives };
    primitives = remaining;
  }
}

export function isTwoTerminal(primitive: Primitive): boolean {
  return (
    primitive.kind === 'resistor' ||
    primitive.kind === 'capacitor' ||
    primitive.kind === 'inductor' ||
    primitive.kind === 'diode'
  );
}

function isBridged(primitive: Primitive): boolean {
  return isTwoTerminal(primitive) && primitive.nodes[0] === primitive.nodes[1];
}
