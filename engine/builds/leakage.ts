import { GROUND, type NodeName } from '../devices/node.ts';
import { ofPart, ofPiece, type PrimitiveBase } from '../devices/origin.ts';
import type { Capacitor, Network, Primitive, Resistor } from '../network/network.ts';
import { pruneNetwork } from '../network/prune.ts';
import { leakageOhms } from '../parts/capacitor-kinds.ts';
import { floatingGroups } from '../solver/network-check.ts';
import { type Build, buildParts } from './build.ts';

/** Between a lug of a jack or switch and ground, with the board under it; common practice, no source: a clean board has more. */
const JACK_LEAKAGE_OHMS = 100e6;
const JACK = ofPiece(ofPart('jack'), 'leakage');

/**
 * The network with leakage where nothing else carries direct current: an output whose pull-down is not fitted, a net between
 * capacitors. Capacitors leak as much as the data sheet of their kind allows. The output has the leakage of its jack alone: its
 * coupling capacitor charges it with DC, which an amplifier does not pass on, so it must not be in the sound either. A net that
 * an op-amp's input or a gate touches stays as it is: their own current decides there, and the solver refuses it.
 */
export function withLeakage(network: Network, build: Build): Network {
  const withoutLeaks = withoutLeakage(network);
  if (floatingGroups(withoutLeaks).length === 0) return network;
  const pruned = pruneNetwork(withoutLeaks);
  const groups = floatingGroups(pruned).filter((group) => canLeak(pruned, group));
  const isAtOutput = (group: ReadonlySet<NodeName>) => group.has(network.output);
  const output = groups.find(isAtOutput);
  const added = groups.flatMap((group) =>
    isAtOutput(group) ? [jackLeakage(network.output)] : leaksInto(pruned, build, group),
  );
  const known = new Set(network.primitives.map(({ ref }) => ref));
  const kept = network.primitives.filter((part) => !output || !isLeakage(part) || !touches(part, output));
  return { ...network, primitives: [...kept, ...added.filter(({ ref }) => !known.has(ref))] };
}

/** Whether nothing but the leakage of its jack ties the output of a network to ground. */
export function isOutputLoose({ primitives }: Network): boolean {
  return primitives.some(({ ref }) => ref === JACK.ref);
}

/**
 * The network with what leaks through every capacitor, so that its DC voltages are those after minutes of rest. The capacitances
 * of a transistor, which are no parts, leak nothing beside its junctions.
 */
export function withLeakingCapacitors(network: Network, build: Build): Network {
  const withoutLeaks = withoutLeakage(network);
  const parts = buildParts(build.circuit);
  const leaks = withoutLeaks.primitives
    .filter(isCapacitor)
    .filter(({ origin }) => parts.some(({ ref, kind }) => ref === origin.ref && kind === 'capacitor'))
    .filter(({ nodes: [a, b] }) => a !== b)
    .map((each) => leakOf(each, build));
  return { ...withoutLeaks, primitives: [...withoutLeaks.primitives, ...leaks] };
}

function jackLeakage(node: NodeName): Resistor {
  return lugLeakage(JACK, node);
}

/** Between a lug and ground. */
export function lugLeakage(own: PrimitiveBase, node: NodeName): Resistor {
  return { kind: 'resistor', ...own, nodes: [node, GROUND], ohms: JACK_LEAKAGE_OHMS };
}

function leakOf(capacitor: Capacitor, build: Build): Resistor {
  const { origin, nodes, farads } = capacitor;
  const part = buildParts(build.circuit).find(({ ref }) => ref === origin.ref);
  const kind = build.parts[origin.ref]?.dielectric ?? (part?.polarised ? 'electrolytic' : 'film');
  return { kind: 'resistor', ...ofPiece(capacitor, 'leakage'), nodes, ohms: leakageOhms(kind, farads) };
}

function leaksInto(network: Network, build: Build, group: ReadonlySet<NodeName>): readonly Resistor[] {
  return network.primitives
    .filter(isCapacitor)
    .filter((each) => touches(each, group))
    .map((each) => leakOf(each, build));
}

function canLeak({ primitives }: Network, group: ReadonlySet<NodeName>): boolean {
  const touching = primitives.filter((part) => touches(part, group));
  return touching.some(isCapacitor) && touching.every(isPassive);
}

function withoutLeakage(network: Network): Network {
  return {
    ...network,
    primitives: network.primitives.filter((part) => !isLeakage(part) || part.ref === JACK.ref),
  };
}

function isLeakage({ kind, origin }: Primitive): boolean {
  return kind === 'resistor' && origin.piece?.split(' ').at(-1) === 'leakage';
}

function touches({ nodes }: Primitive, group: ReadonlySet<NodeName>): boolean {
  return nodes.some((node) => group.has(node));
}

function isCapacitor(part: Primitive): part is Capacitor {
  return part.kind === 'capacitor';
}

function isPassive({ kind }: Primitive): boolean {
  return kind === 'resistor' || kind === 'capacitor' || kind === 'inductor';
}
