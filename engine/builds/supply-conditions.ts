import { GROUND, type NodeName } from '../devices/node.ts';
import { ofPiece } from '../devices/origin.ts';
import type { Network, Primitive, VoltageSource } from '../network/network.ts';
import { type Build, buildParts } from './build.ts';
import type { Chain } from './chain.ts';

/** What feeds a pedal while its voltages are measured. */
export type SupplyCondition = 'adapter' | 'fresh battery' | 'flat battery';
export const SUPPLY_CONDITIONS: readonly SupplyCondition[] = ['adapter', 'fresh battery', 'flat battery'];

/** A battery at one point of its life. */
interface BatteryState {
  /** Without a load, of each. */
  readonly volts: number;
  readonly ohms: number;
}

/**
 * An alkaline 9 V battery (6LR61), from memory: new ones have 9.4 to 9.6 V and about 2 Ω; at 7 V, where most players change
 * them, it is some ten times as much. Every make is a little different.
 */
export const BATTERY_STATES: Readonly<Record<Exclude<SupplyCondition, 'adapter'>, BatteryState>> = {
  'fresh battery': { volts: 9.5, ohms: 2 },
  'flat battery': { volts: 7, ohms: 35 },
};

const BATTERY_VOLTS = 9;
/** A supply farther from a multiple of 9 V is an adapter, V for each battery. */
const BATTERY_TOLERANCE_V = 1;
const MOST_BATTERIES = 2;

/** How many 9 V batteries in series give a supply; 0 where none do, as for 12 V. */
export function batteriesFor(volts: number): number {
  const count = Math.round(Math.abs(volts) / BATTERY_VOLTS);
  if (count < 1 || count > MOST_BATTERIES) return 0;
  return Math.abs(Math.abs(volts) / count - BATTERY_VOLTS) <= BATTERY_TOLERANCE_V ? count : 0;
}

/** A chain whose supplies have no inner resistance of the builder's; `fedNetwork` then adds that of a battery. */
export function withStiffSupplies(chain: Chain): Chain {
  return { pedals: chain.pedals.map((pedal) => ({ ...pedal, build: withStiffSupply(pedal.build) })) };
}

/** The same for one build. */
export function withStiffSupply(build: Build): Build {
  const ref = innerResistanceOf(build);
  if (ref === undefined) return build;
  return { ...build, parts: { ...build.parts, [ref]: { ...build.parts[ref]!, fit: 'bridged' } } };
}

/** The part of a circuit that stands for the inner resistance of its supply. */
export function innerResistanceOf({ circuit, parts }: Build): string | undefined {
  const jobs = circuit.stages.flatMap((stage) => Object.entries(stage.parts));
  const isPart = (ref: string) => buildParts(circuit).some((part) => part.ref === ref) && parts[ref];
  return jobs.find(([ref, { job }]) => job === 'supply internal resistance' && isPart(ref))?.[0];
}

/**
 * The network with each supply as this condition makes it: a battery has other volts, and a resistance of its own. A supply that
 * no 9 V batteries give stays as it is.
 */
export function fedNetwork(network: Network, condition: SupplyCondition): Network {
  if (condition === 'adapter') return network;
  const state = BATTERY_STATES[condition];
  return { ...network, primitives: network.primitives.flatMap((part) => fedPart(part, state)) };
}

function fedPart(part: Primitive, state: BatteryState): readonly Primitive[] {
  if (part.kind !== 'voltageSource') return [part];
  const count = batteriesFor(part.volts);
  return count === 0 ? [part] : battery(part, count, state);
}

/** The source behind its resistance, on a node of its own. */
function battery(source: VoltageSource, count: number, { volts, ohms }: BatteryState): readonly Primitive[] {
  const inside: NodeName = `${source.ref} cell`;
  const [plus] = source.nodes;
  return [
    { ...source, nodes: [inside, GROUND], volts: Math.sign(source.volts) * count * volts },
    {
      kind: 'resistor',
      ...ofPiece(source, 'inner resistance'),
      nodes: [inside, plus],
      ohms: count * ohms,
    },
  ];
}
