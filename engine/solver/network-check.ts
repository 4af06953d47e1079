import { GROUND, type Network, type NodeName, type Primitive } from '../network/network.ts';
import { NetworkError, type NetworkProblem } from './network-error.ts';
import { UnionFind } from './union-find.ts';

/**
 * Refuses a network whose voltages are not determined: a net without a DC path to ground, two sources on
 * one net, an output that nothing touches.
 *
 * @throws NetworkError with every problem found.
 */
export function checkNetwork(network: Network): void {
  const problems = [
    ...sourceProblems(network),
    ...drivenTwice(network),
    ...missingOutput(network),
    ...floatingNets(network),
    ...unpoweredOpamps(network),
  ];
  if (problems.length > 0) throw new NetworkError(problems);
}

function sourceProblems(network: Network): NetworkProblem[] {
  return network.primitives
    .filter((primitive) => primitive.kind === 'voltageSource' && primitive.nodes[1] !== GROUND)
    .map(({ ref }) => ({
      code: 'unsupported-source' as const,
      place: ref,
      message: `${ref} is not referred to ground. Connect its negative end to ground.`,
    }));
}

function drivenTwice(network: Network): NetworkProblem[] {
  const drivers = new Map<NodeName, string[]>([[network.input, ['the input']]]);
  drivers.set(GROUND, ['ground']);
  for (const primitive of network.primitives) {
    const driven = drivenNode(primitive);
    if (driven !== undefined) drivers.set(driven, [...(drivers.get(driven) ?? []), primitive.ref]);
  }
  return [...drivers]
    .filter(([, refs]) => refs.length > 1)
    .map(([node, refs]) => ({
      code: 'driven-twice' as const,
      place: node,
      message: `Net ${node} is driven by ${list(refs)} at once. Leave one of them connected.`,
    }));
}

function drivenNode(primitive: Primitive): NodeName | undefined {
  if (primitive.kind === 'voltageSource') return primitive.nodes[0];
  return primitive.kind === 'opamp' ? primitive.nodes[2] : undefined;
}

function missingOutput(network: Network): NetworkProblem[] {
  if (network.primitives.some(({ nodes }) => nodes.some((node) => node === network.output))) return [];
  return [
    {
      code: 'no-output',
      place: network.output,
      message: `Nothing is connected to the output net ${network.output}.`,
    },
  ];
}

function floatingNets(network: Network): NetworkProblem[] {
  const names = [...new Set([GROUND, ...network.primitives.flatMap(({ nodes }) => [...nodes])])];
  const indexOf = new Map(names.map((name, index) => [name, index]));
  const sets = new UnionFind(names.length);
  const join = (a: NodeName, b: NodeName) => sets.union(indexOf.get(a)!, indexOf.get(b)!);
  if (indexOf.has(network.input)) join(network.input, GROUND);
  for (const primitive of network.primitives) joinDcPath(primitive, join);
  const grounded = sets.find(indexOf.get(GROUND)!);
  return names
    .filter((name) => sets.find(indexOf.get(name)!) !== grounded)
    .map((name) => {
      const refs = network.primitives
        .filter(({ nodes }) => nodes.some((node) => node === name))
        .map(({ ref }) => ref);
      return {
        code: 'floating-net' as const,
        place: name,
        message: `Net ${name} has no DC path to ground (only ${list([...new Set(refs)])} ${refs.length === 1 ? 'touches' : 'touch'} it). Fit a part that carries direct current there.`,
      };
    });
}

/** Op-amps whose supply pin no source feeds through parts that carry direct current. */
function unpoweredOpamps(network: Network): NetworkProblem[] {
  const feeders = network.primitives.filter(
    ({ kind }) => kind === 'resistor' || kind === 'inductor' || kind === 'diode' || kind === 'converter',
  );
  const isSource = ({ kind }: Primitive) => kind === 'voltageSource';
  const sources = new Set<NodeName>(network.primitives.filter(isSource).map(({ nodes }) => nodes[0]));
  for (let before = -1; before !== sources.size; ) {
    before = sources.size;
    for (const { nodes } of feeders) {
      const [a, b] = nodes as readonly [NodeName, NodeName];
      if (sources.has(a) && b !== GROUND) sources.add(b);
      if (sources.has(b) && a !== GROUND) sources.add(a);
    }
  }
  return network.primitives.flatMap((primitive) => {
    if (primitive.kind !== 'opamp' || sources.has(primitive.nodes[3])) return [];
    const { ref, nodes } = primitive;
    return [
      {
        code: 'unpowered' as const,
        place: ref,
        message: `${ref} gets no supply: nothing feeds its net ${nodes[3]}. Fit the part that connects it to the supply.`,
      },
    ];
  });
}

function joinDcPath(primitive: Primitive, join: (a: NodeName, b: NodeName) => void): void {
  switch (primitive.kind) {
    case 'resistor':
    case 'inductor':
    case 'diode':
    case 'voltageSource':
    case 'converter':
      join(primitive.nodes[0], primitive.nodes[1]);
      return;
    case 'npn':
    case 'pnp':
    case 'nJfet':
      join(primitive.nodes[0], primitive.nodes[1]);
      join(primitive.nodes[1], primitive.nodes[2]);
      return;
    case 'nMosfet':
      join(primitive.nodes[0], primitive.nodes[2]);
      return;
    case 'opamp':
      join(primitive.nodes[2], GROUND);
  }
}

function list(words: readonly string[]): string {
  return words.length < 2 ? (words[0] ?? 'nothing') : `${words.slice(0, -1).join(', ')} and ${words.at(-1)}`;
}
