import { type Device, deviceModel, isDevice } from '../devices/devices.ts';
import { GROUND, type NodeName } from '../devices/node.ts';
import { NOMINAL_TEMPERATURE_K } from '../devices/physics.ts';
import type { Network, Primitive } from '../network/network.ts';
import { NetworkError, type NetworkProblem } from './network-error.ts';
import { placeOf } from './parameters.ts';
import { UnionFind } from './union-find.ts';

/** Assumed range of the input and of an op-amp's output, in both directions, V: louder than any instrument. */
const LOUD_V = 5;

/**
 * Refuses a network whose voltages or currents are not determined: a net without a DC path to ground, two
 * sources on one net, an output without a connection, a junction directly across two fixed voltages.
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
    ...unlimitedJunctions(network),
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
      message: `Net ${node} is driven by ${list(refs)} at once. Disconnect all but one.`,
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
  return floatingGroups(network).flatMap((group) => [...group].map((name) => floatingNet(network, name)));
}

function floatingNet({ primitives }: Network, name: NodeName): NetworkProblem {
  const refs = primitives.filter(({ nodes }) => nodes.some((node) => node === name)).map(({ ref }) => ref);
  return {
    code: 'floating-net',
    place: name,
    message: `Net ${name} has no DC path to ground (only ${list([...new Set(refs)])} ${refs.length === 1 ? 'touches' : 'touch'} it). Fit a part that carries direct current there.`,
  };
}

/** Nets without a DC path to ground; those that direct current joins are one group. */
export function floatingGroups({ input, primitives }: Network): readonly ReadonlySet<NodeName>[] {
  const names = [...new Set([GROUND, ...primitives.flatMap(({ nodes }) => [...nodes])])];
  const indexOf = new Map(names.map((name, index) => [name, index]));
  const sets = new UnionFind(names.length);
  const join = (a: NodeName, b: NodeName) => sets.union(indexOf.get(a)!, indexOf.get(b)!);
  if (indexOf.has(input)) join(input, GROUND);
  for (const primitive of primitives) joinDcPath(primitive, join);
  const grounded = sets.find(indexOf.get(GROUND)!);
  const groups = new Map<number, Set<NodeName>>();
  names.forEach((name, index) => {
    const root = sets.find(index);
    if (root === grounded) return;
    groups.set(root, (groups.get(root) ?? new Set()).add(name));
  });
  return [...groups.values()];
}

/** Op-amps with a supply pin that no source feeds through parts that carry direct current. */
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

/**
 * Junctions without a series resistance that can conduct and have both ends at fixed voltages (input, ground,
 * source, op-amp): 0.9 V across the base and emitter of a small transistor would be ten amperes, 1.5 V a hundred gigaamperes.
 */
function unlimitedJunctions(network: Network): NetworkProblem[] {
  const held = heldRanges(network);
  return network.primitives.flatMap((primitive) => {
    const { ref } = primitive;
    const shorted = junctionsOf(primitive).find(({ anode, cathode }) => {
      const [from, to] = [held.get(anode), held.get(cathode)];
      return from !== undefined && to !== undefined && anode !== cathode && from.most > to.least;
    });
    if (shorted === undefined) return [];
    const [a, b] = [shorted.anode, shorted.cathode].map((node) => {
      if (node === GROUND) return 'ground';
      return node === network.input ? 'the input' : `net ${node}`;
    });
    return [
      {
        code: 'unlimited-current' as const,
        place: ref,
        message: `${ref} has a junction directly across ${a} and ${b}, and nothing limits its current. Fit a part between ${ref} and one of them.`,
      },
    ];
  });
}

function heldRanges({ input, primitives }: Network): Map<NodeName, { least: number; most: number }> {
  const held = new Map([
    [GROUND, { least: 0, most: 0 }],
    [input, { least: -LOUD_V, most: LOUD_V }],
  ]);
  for (const primitive of primitives) {
    if (primitive.kind === 'opamp') held.set(primitive.nodes[2], { least: -LOUD_V, most: LOUD_V });
    else if (primitive.kind === 'voltageSource')
      held.set(primitive.nodes[0], { least: primitive.volts, most: primitive.volts });
  }
  return held;
}

interface JunctionEnds {
  readonly anode: NodeName;
  readonly cathode: NodeName;
}

/** Junctions whose model has no series resistance. */
function junctionsOf(primitive: Primitive): JunctionEnds[] {
  if (!isDevice(primitive)) return [];
  const { kind, nodes } = primitive;
  const { equations } = deviceModel(kind);
  if (!equations || hasSeriesResistance(primitive)) return [];
  return equations.junctions.map(({ plus, minus, polarity }) =>
    polarity > 0
      ? { anode: nodes[plus]!, cathode: nodes[minus]! }
      : { anode: nodes[minus]!, cathode: nodes[plus]! },
  );
}

function hasSeriesResistance(device: Device): boolean {
  const { equations, numbersOf } = deviceModel(device.kind);
  if (!equations?.series) return false;
  return numbersOf(device, NOMINAL_TEMPERATURE_K)[placeOf(device.kind, equations.series.ohms)]! > 0;
}

function joinDcPath(primitive: Primitive, join: (a: NodeName, b: NodeName) => void): void {
  const { kind, nodes } = primitive;
  if (kind === 'opamp') join(primitive.nodes[2], GROUND);
  else if (isDevice(primitive)) {
    for (const [a, b] of deviceModel(primitive.kind).dcPaths) join(nodes[a]!, nodes[b]!);
  } else if (kind !== 'capacitor') join(nodes[0]!, nodes[1]!);
}

function list(words: readonly string[]): string {
  return words.length < 2 ? (words[0] ?? 'nothing') : `${words.slice(0, -1).join(', ')} and ${words.at(-1)}`;
}
