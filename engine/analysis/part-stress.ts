import type { Build } from '../builds/build.ts';
import type { Chain } from '../builds/chain.ts';
import { netsOf, networkOf } from '../builds/network-of-build.ts';
import { partsOf } from '../circuits/circuit.ts';
import { fittedCircuit } from '../circuits/fitted-circuit.ts';
import { isDevice } from '../devices/devices.ts';
import { GROUND, type NodeName } from '../devices/node.ts';
import { ofPart } from '../devices/origin.ts';
import { Refusal } from '../input/refusal.ts';
import type { Network, Primitive } from '../network/network.ts';
import { pruneNetwork } from '../network/prune.ts';
import { operatingPoint } from '../solver/operating-point.ts';
import { steadySine } from './steady-sine.ts';

/**
 * An unregulated adapter gives this many times its printed voltage while the pedal draws little; common practice, no source.
 */
export const UNLOADED_SHARE = 1.4;
/** The lowest note of a guitar, where coupling capacitors see most, as loud as a strummed humbucker is; common practice, no source. */
export const STRESS_TEST = { hz: 82.4, peakV: 2 } as const;
/** Rotations of all knobs at which a build rests; it is played at the last. */
const KNOB_TURNS = [0.5, 0, 1] as const;
/** Leakage that gives every net a voltage while the active parts are out of their sockets, ohms. */
const LEAK_OHMS = 1e9;

/** The most that a part sees. */
export interface PartStress {
  /** Between its ends, V. */
  readonly volts: number;
  /** Heat, W. */
  readonly watts: number;
}

/** By the key of each part, or a sentence why nothing is known of a pedal. */
export type PedalStresses = ReadonlyMap<string, PartStress> | string;

/** Key of a part: a piggyback part of another value turns another power into heat than the first one of its place. */
export function stressKey(ref: string, isPiggyback: boolean): string {
  return isPiggyback ? `${ref} ${PIGGYBACK}` : ref;
}
const PIGGYBACK = 'piggyback';

type Volts = (node: NodeName) => number;
type TwoTerminal = Primitive & { readonly kind: 'resistor' | 'capacitor' };

/**
 * The most that each resistor and capacitor of a chain sees. Voltages at rest are taken from an adapter without load, with all
 * knobs half up, down and up, and once with the active parts out, as with empty sockets and at the moment of switching on,
 * before they conduct. What a loud low note adds is played with all knobs fully up; a later pedal gets what the one before puts
 * out without a load. A part that carries no current has the widest voltage of the circuit; a pump capacitor that of its
 * converter's supply.
 *
 * @returns By pedal, by the key of each part; a sentence why not for a pedal without an operating point. The next pedal then gets
 * what the one before that puts out.
 */
export function partStresses({ pedals }: Chain, temperatureK: number): readonly PedalStresses[] {
  let peakV: number = STRESS_TEST.peakV;
  return pedals.map(({ build }) => {
    const found = attempted(() => pedalStresses(build, temperatureK, peakV));
    if (typeof found === 'string') return found;
    peakV = Math.max(peakV, found.outputV);
    return found.stresses;
  });
}

/** @param peakV At the input. @throws Refusal where the pedal has no operating point. */
function pedalStresses(build: Build, temperatureK: number, peakV: number) {
  const networks = KNOB_TURNS.map((turn) => pruneNetwork(networkOf(knobsAt(build, turn), temperatureK)));
  const [network, ...turned] = networks as [Network, ...Network[]];
  const unloaded = withAdapterUnloaded(network);
  const rests = [
    voltsOf(unloaded),
    ...emptied(unloaded),
    ...turned.flatMap((each) => attempt(() => voltsOf(withAdapterUnloaded(each)))),
  ];
  const swings = swingOf(networks.at(-1)!, peakV);
  const outputV = Math.max(0, ...swings.map((swing) => swing(network.output, GROUND).addedV));
  return {
    stresses: stressesOf(build, { network, rests, swings, widest: widestV(unloaded, rests) }),
    outputV,
  };
}

interface Measured {
  readonly network: Network;
  readonly rests: readonly Volts[];
  readonly swings: readonly Swing[];
  readonly widest: number;
}

function stressesOf(build: Build, measured: Measured): ReadonlyMap<string, PartStress> {
  const stresses = new Map<string, PartStress>();
  for (const [ref, { part }] of partsOf(fittedCircuit(build))) {
    if (part.kind !== 'resistor' && part.kind !== 'capacitor') continue;
    const supplied = pumpSupply(build, ref);
    for (const isPiggyback of [false, true]) {
      const own = mainPrimitive(measured.network, ref, { kind: part.kind, isPiggyback });
      const stress = supplied === undefined ? stressOf(own, measured) : pumpStress(supplied, measured);
      stresses.set(stressKey(ref, isPiggyback), stress);
    }
  }
  return stresses;
}

/** The one that stands between the ends of a part, or of the part on its legs. */
function mainPrimitive(
  { primitives }: Network,
  ref: string,
  { kind, isPiggyback }: { readonly kind: TwoTerminal['kind']; readonly isPiggyback: boolean },
): TwoTerminal | undefined {
  return primitives.find(
    (primitive): primitive is TwoTerminal =>
      primitive.origin.ref === ref &&
      primitive.kind === kind &&
      (primitive.origin.piece?.startsWith(PIGGYBACK) ?? false) === isPiggyback,
  );
}

function stressOf(primitive: TwoTerminal | undefined, { rests, swings, widest }: Measured): PartStress {
  if (primitive === undefined) return { volts: widest, watts: 0 };
  const [first, second] = primitive.nodes;
  const resting = Math.max(...rests.map((at) => Math.abs(at(first) - at(second))));
  const played = swings.map((swing) => swing(first, second));
  const volts = resting + Math.max(0, ...played.map(({ addedV }) => addedV));
  if (primitive.kind === 'capacitor') return { volts, watts: 0 };
  const squares = [resting ** 2, ...played.map(({ meanSquare }) => meanSquare)];
  return { volts, watts: Math.max(...squares) / primitive.ohms };
}

/** A pump capacitor is charged to the supply of its converter. */
function pumpStress(supply: NodeName, { rests }: Measured): PartStress {
  return { volts: Math.max(...rests.map((at) => Math.abs(at(supply)))), watts: 0 };
}

/** Node at the supply pin of the converter that a capacitor pumps for. */
function pumpSupply(build: Build, ref: string): NodeName | undefined {
  for (const [converter, { part }] of partsOf(fittedCircuit(build))) {
    if (part.kind !== 'converter' || !part.pump) continue;
    const { doubler, inverter } = part.pump;
    if (doubler.capacitor === ref || inverter.capacitor === ref) return netsOf(build)(`${converter}.supply`);
  }
  return undefined;
}

function withAdapterUnloaded(network: Network): Network {
  const primitives = network.primitives.map((primitive) =>
    primitive.kind === 'voltageSource'
      ? { ...primitive, volts: UNLOADED_SHARE * primitive.volts }
      : primitive,
  );
  return { ...network, primitives };
}

function voltsOf(network: Network): Volts {
  const { volts } = operatingPoint(network);
  return (node) => volts.get(node) ?? 0;
}

/** The same without active parts, where that has an operating point. */
function emptied(network: Network): readonly Volts[] {
  const passive = network.primitives.filter(
    (primitive) => !isDevice(primitive) || primitive.kind === 'diode',
  );
  const nodes = new Set(passive.flatMap((primitive) => [...primitive.nodes]));
  const leaks = [...nodes]
    .filter((node) => node !== GROUND)
    .map(
      (node): Primitive => ({
        kind: 'resistor',
        ...ofPart(`leak ${node}`),
        nodes: [node, GROUND],
        ohms: LEAK_OHMS,
      }),
    );
  return attempt(() => voltsOf({ ...network, primitives: [...passive, ...leaks] }));
}

interface Played {
  /** How much more than at rest, V. */
  readonly addedV: number;
  readonly meanSquare: number;
}
type Swing = (first: NodeName, second: NodeName) => Played;

/** What a loud note does between two nodes; nothing where it cannot be played. */
function swingOf(network: Network, peakV: number): readonly Swing[] {
  const nodes = new Set(
    network.primitives
      .filter(({ kind }) => kind === 'resistor' || kind === 'capacitor')
      .flatMap((primitive) => [...primitive.nodes]),
  );
  nodes.delete(GROUND);
  return attempt(() => {
    const { volts, restV } = steadySine(network, { ...STRESS_TEST, peakV }, [...nodes]);
    return (first, second) => {
      const [a, b] = [volts.get(first), volts.get(second)];
      const length = (a ?? b)?.length ?? 0;
      const rest = Math.abs((restV.get(first) ?? 0) - (restV.get(second) ?? 0));
      let [most, sum] = [rest, 0];
      for (let n = 0; n < length; n++) {
        const across = Math.abs((a?.[n] ?? 0) - (b?.[n] ?? 0));
        most = Math.max(most, across);
        sum += across ** 2;
      }
      return { addedV: most - rest, meanSquare: length === 0 ? 0 : sum / length };
    };
  });
}

/** What is made, or why it was refused. */
function attempted<T extends object>(make: () => T): T | string {
  try {
    return make();
  } catch (error) {
    if (error instanceof Refusal) return error.message;
    throw error;
  }
}

function attempt<T extends object>(make: () => T): readonly T[] {
  const made = attempted(make);
  return typeof made === 'string' ? [] : [made];
}

function widestV(network: Network, rests: readonly Volts[]): number {
  const nodes = [...new Set(network.primitives.flatMap((primitive) => [...primitive.nodes]))];
  const volts = rests.flatMap((at) => nodes.map(at));
  return Math.max(0, ...volts) - Math.min(0, ...volts);
}

function knobsAt(build: Build, turn: number): Build {
  return { ...build, knobs: Object.fromEntries(build.circuit.knobs.map(({ name }) => [name, turn])) };
}
