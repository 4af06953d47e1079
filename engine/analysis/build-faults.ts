import { GROUND, type NodeName } from '../devices/node.ts';
import { ofPart, ofPiece, type PrimitiveBase, partName } from '../devices/origin.ts';
import { Refusal } from '../input/refusal.ts';
import type { Network, Primitive, Resistor } from '../network/network.ts';
import { pruneNetwork } from '../network/prune.ts';
import { type OperatingPoint, operatingPoint } from '../solver/operating-point.ts';
import { isReachable } from './meter-readings.ts';
import type { VoltageBand } from './voltage-bands.ts';

/** What can be wrong with one part of a soldered board. */
export type FaultKind =
  | 'open'
  | 'shorted'
  | 'turned round'
  | 'ten times too high'
  | 'ten times too low'
  | 'C and E swapped';

/** A board with one fault. */
export interface Fault {
  /** The part, in a chain with its unit: "R3", "2:R3". */
  readonly part: string;
  readonly kind: FaultKind;
  /** "R3 is not soldered or broken". */
  readonly text: string;
  /** DC voltage of the nets, V. */
  readonly volts: ReadonlyMap<NodeName, number>;
}

/** What every fault is compared with. */
export interface FaultTable {
  /** Of the sound board, V. */
  readonly sound: ReadonlyMap<NodeName, number>;
  /** How far a sound board can be from it, V. */
  readonly toleranceV: ReadonlyMap<NodeName, number>;
  readonly faults: readonly Fault[];
}

/** A solder bridge, and a place without one, ohms. */
const BRIDGE_OHMS = 0.1;
const NO_BRIDGE_OHMS = 1e15;
/** A dry joint, ohms. */
const OPEN_OHMS = 1e12;
/** What ties a net that nothing else ties: a board that is not quite clean, ohms; estimate. */
const LEAK_OHMS = 1e9;
const LEAK = ofPart('leak');
/** A supply that is shorted falls: no battery or adapter gives any current, ohms. */
const SUPPLY_OHMS = 2;
/** The inputs of a chip conduct where they are farther outside its supply, V; from memory. */
const BEYOND_SUPPLY_V = 0.7;

const SAYS: Readonly<Record<FaultKind, string>> = {
  open: 'is not soldered or broken',
  shorted: 'is shorted, perhaps by solder',
  'turned round': 'is turned round',
  'ten times too high': 'has ten times its value',
  'ten times too low': 'has a tenth of its value',
  'C and E swapped': 'has collector and emitter swapped',
};

/** One part's primitives and the fault in them. */
interface Change {
  readonly part: string;
  readonly kind: FaultKind;
  /** In place of the part's own. */
  readonly primitives: readonly Primitive[];
}

/**
 * The DC voltages of the network with each usual mistake of soldering, one at a time. A fault with which the circuit has no
 * operating point is left out, as is one that moves no net.
 *
 * @param bands How far sound boards differ by the tolerances of their parts; see `voltageBands`.
 * @throws NetworkError, OperatingPointError for the sound network.
 */
export function faultTable(unpruned: Network, bands: ReadonlyMap<NodeName, VoltageBand>): FaultTable {
  const network = preparedNetwork(pruneNetwork(unpruned));
  const rest = operatingPoint(network);
  const sound = reachable(rest.volts);
  const toleranceV = new Map([...sound].map(([net, volts]) => [net, toleranceOf(volts, bands.get(net))]));
  const faults = changesOf(network).flatMap((change) => faultOf(network, rest, change));
  return { sound, toleranceV, faults: faults.filter(({ volts }) => isVisible({ sound, toleranceV }, volts)) };
}

function faultOf(network: Network, rest: OperatingPoint, { part, kind, primitives }: Change): Fault[] {
  const changed = new Map(primitives.map((each) => [each.ref, each]));
  const isOwn = ({ origin }: Primitive) => partName(origin) === part;
  const faulty = network.primitives.flatMap((each) => (isOwn(each) ? (changed.get(each.ref) ?? []) : each));
  const volts =
    restOf({ ...network, primitives: faulty }, rest) ?? restOf(withoutChips(network, faulty), rest);
  if (!volts) return [];
  return [{ part, kind, text: `${part} ${SAYS[kind]}`, volts: withinSupply(reachable(volts), rest) }];
}

function restOf(network: Network, near: OperatingPoint): ReadonlyMap<NodeName, number> | undefined {
  try {
    return operatingPoint(network, near).volts;
  } catch (error) {
    if (error instanceof Refusal) return undefined;
    throw error;
  }
}

/** Chips do nothing where the fault takes their supply, and the solver then refuses them. */
function withoutChips(network: Network, primitives: readonly Primitive[]): Network {
  const isChip = ({ kind }: Primitive) => kind === 'opamp' || kind === 'converter';
  return { ...network, primitives: primitives.filter((each) => !isChip(each)) };
}

function reachable(volts: ReadonlyMap<NodeName, number>): ReadonlyMap<NodeName, number> {
  return new Map([...volts].filter(([net]) => isReachable(net)));
}

/** A net that only the input current of an op-amp drives would leave the supply in the model, which no board does. */
function withinSupply(
  volts: ReadonlyMap<NodeName, number>,
  rest: OperatingPoint,
): ReadonlyMap<NodeName, number> {
  const all = [...rest.volts.values()];
  const lowest = Math.min(0, ...all) - BEYOND_SUPPLY_V;
  const highest = Math.max(0, ...all) + BEYOND_SUPPLY_V;
  return new Map([...volts].map(([net, each]) => [net, Math.min(highest, Math.max(lowest, each))]));
}

function isVisible(
  { sound, toleranceV }: Omit<FaultTable, 'faults'>,
  volts: ReadonlyMap<NodeName, number>,
): boolean {
  return [...sound].some(([net, each]) => Math.abs((volts.get(net) ?? 0) - each) > toleranceV.get(net)!);
}

/** The network with supplies that can be shorted, leaks, and places for solder bridges: most faults then share its structure. */
function preparedNetwork(network: Network): Network {
  const primitives = network.primitives.flatMap(withPlaceForFaults);
  const nets = new Set(network.primitives.flatMap(({ nodes }) => [...nodes]));
  nets.delete(GROUND);
  const leaks = [...nets].map((net) => resistor(ofPiece(LEAK, net), [net, GROUND], LEAK_OHMS));
  return { ...network, primitives: [...primitives, ...leaks] };
}

function withPlaceForFaults(part: Primitive): readonly Primitive[] {
  if (part.kind === 'voltageSource') {
    const inside: NodeName = `${part.ref} inside`;
    const [plus] = part.nodes;
    return [
      { ...part, nodes: [inside, GROUND] },
      resistor(ofPiece(part, 'feed'), [inside, plus], SUPPLY_OHMS),
    ];
  }
  return canBeShorted(part) ? [part, resistor(bridgeOf(part), bridgedNodes(part), NO_BRIDGE_OHMS)] : [part];
}

/** A part with two legs, alone in its place: no half of a track, no capacitance of a transistor. */
function canBeShorted(part: Primitive): boolean {
  if (part.origin.piece !== undefined) return false;
  return part.kind === 'resistor' || part.kind === 'capacitor' || part.kind === 'diode';
}

function bridgeOf(part: Primitive): PrimitiveBase {
  return ofPiece(part, 'bridge');
}

function bridgedNodes({ nodes: [a, b] }: Primitive): readonly [NodeName, NodeName] {
  return [a, b];
}

function resistor(base: PrimitiveBase, nodes: readonly [NodeName, NodeName], ohms: number): Resistor {
  return { kind: 'resistor', ...base, nodes, ohms };
}

function changesOf({ primitives }: Network): readonly Change[] {
  const parts = new Map<string, Primitive[]>();
  for (const each of primitives) {
    // Supplies and leaks are nobody's mistake.
    if (each.kind === 'voltageSource' || each.origin.piece === 'feed' || each.origin.piece === 'leakage')
      continue;
    if (each.origin.ref === LEAK.origin.ref) continue;
    const part = partName(each.origin);
    parts.set(part, [...(parts.get(part) ?? []), each]);
  }
  return [...parts].flatMap(([part, own]) => changesOfPart(part, own));
}

function changesOfPart(part: string, own: readonly Primitive[]): readonly Change[] {
  const main = own.find(({ origin }) => origin.piece === undefined) ?? own[0]!;
  const change = (kind: FaultKind, by: (each: Primitive) => Primitive): Change => ({
    part,
    kind,
    primitives: own.map(by),
  });
  const removed: Change = { part, kind: 'open', primitives: [] };
  const shorted = change('shorted', (each) =>
    each.ref === bridgeOf(main).ref ? ({ ...each, ohms: BRIDGE_OHMS } as Resistor) : each,
  );
  const scaled = (kind: FaultKind, factor: number) =>
    change(kind, (each) =>
      each === main && each.kind === 'resistor' ? { ...each, ohms: factor * each.ohms } : each,
    );
  switch (main.kind) {
    case 'resistor':
      if (main.origin.piece !== undefined) return [removed];
      return [
        scaled('open', OPEN_OHMS / main.ohms),
        shorted,
        scaled('ten times too high', 10),
        scaled('ten times too low', 0.1),
      ];
    // An open one changes no DC voltage.
    case 'capacitor':
      return main.origin.piece === undefined ? [shorted] : [];
    case 'inductor':
      return [removed];
    case 'diode':
      return [removed, shorted, change('turned round', turned)];
    case 'npn':
    case 'pnp':
      return [removed, change('C and E swapped', (each) => mirrored(each, main.nodes[0], main.nodes[2]))];
    default:
      return [removed];
  }
}

function turned<P extends Primitive>(part: P): P {
  return { ...part, nodes: [...part.nodes].reverse() } as P;
}

/** With two nodes exchanged, also where a capacitance or resistance of the transistor touches them. */
function mirrored<P extends Primitive>(part: P, a: NodeName, b: NodeName): P {
  const other = (node: NodeName) => (node === a ? b : node === b ? a : node);
  return { ...part, nodes: part.nodes.map(other) } as P;
}

/** A fault and how well it explains what was read. */
export interface Suspect {
  readonly fault: Fault;
  /** Of the reading that it explains worst, in tolerances: 1 or less where it explains them all. */
  readonly largestMiss: number;
}

/** What readings of a board say of it. */
export interface Diagnosis {
  /** Of the reading that a sound board explains worst, in tolerances: 1 or less where the board is sound. */
  readonly soundLargestMiss: number;
  /** Whether all readings are those of a sound board, but for their sign. */
  readonly areLeadsSwapped: boolean;
  /** The likeliest first. */
  readonly suspects: readonly Suspect[];
}

/**
 * What explains readings best: the faults in order, the likeliest first, and how far the readings are from a sound board.
 *
 * @param readings DC voltage of some nets, V, all with the same supply as the table's.
 */
export function suspectsOf(
  { sound, toleranceV, faults }: FaultTable,
  readings: ReadonlyMap<NodeName, number>,
): Diagnosis {
  const missesOf = (volts: ReadonlyMap<NodeName, number>) =>
    [...readings].map(([net, read]) => {
      const expected = volts.get(net) ?? 0;
      // A fault moves what the parts around it do, too.
      const moved = Math.abs(expected - (sound.get(net) ?? 0));
      return Math.abs(read - expected) / ((toleranceV.get(net) ?? 0) + MOVED_SHARE * moved);
    });
  const suspects = faults.map((fault) => ({ fault, misses: missesOf(fault.volts) }));
  suspects.sort((one, other) => Math.hypot(...one.misses) - Math.hypot(...other.misses));
  const negated = new Map([...sound].map(([net, volts]) => [net, -volts]));
  const soundLargestMiss = Math.max(0, ...missesOf(sound));
  return {
    soundLargestMiss,
    areLeadsSwapped: soundLargestMiss > 1 && Math.max(0, ...missesOf(negated)) <= 1,
    suspects: suspects.map(({ fault, misses }) => ({ fault, largestMiss: Math.max(0, ...misses) })),
  };
}

/** The faults that lower or raise one net most, those first that move it and little else. */
export function suspectsAt(table: FaultTable, net: NodeName, side: 'low' | 'high'): readonly Fault[] {
  const shiftOf = ({ volts }: Fault, at: NodeName) => (volts.get(at) ?? 0) - (table.sound.get(at) ?? 0);
  const sign = side === 'low' ? -1 : 1;
  const found = table.faults.filter((fault) => sign * shiftOf(fault, net) > (table.toleranceV.get(net) ?? 0));
  const share = (fault: Fault) => {
    const all = [...table.sound.keys()].map((each) => shiftOf(fault, each));
    return Math.abs(shiftOf(fault, net)) / Math.hypot(...all);
  };
  return found.sort((one, other) => share(other) - share(one));
}

/** What a meter adds to the tolerance of the parts: its own error and a digit, V and share; common practice, no source. */
const METER_V = 0.03;
const METER_SHARE = 0.01;
/** Of the shift of a fault. */
const MOVED_SHARE = 0.03;

/** How far a sound net can be off, V. */
function toleranceOf(volts: number, band: VoltageBand | undefined): number {
  const parts = band ? Math.max(band.high - volts, volts - band.low) : 0;
  return parts + METER_V + METER_SHARE * Math.abs(volts);
}
