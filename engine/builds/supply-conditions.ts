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
  /** Without a load. */
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

/** Supplies that the builder means a 9 V battery by, V. */
const BATTERY_V = { least: 8, most: 10 };

/**
 * Whether a 9 V battery gives a supply. Two in series, for 18 V, have no room in usual boxes: such a supply is an adapter, in the
 * parts list, in the wiring and where voltages are measured.
 */
export function isBatteryVoltage(volts: number): boolean {
  return Math.abs(volts) >= BATTERY_V.least && Math.abs(volts) <= BATTERY_V.most;
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
 * no 9 V battery gives stays as it is.
 */
export function fedNetwork(network: Network, condition: SupplyCondition): Network {
  if (condition === 'adapter') return network;
  const state = BATTERY_STATES[condition];
  return { ...network, primitives: network.primitives.flatMap((part) => fedPart(part, state)) };
}

function fedPart(part: Primitive, state: BatteryState): readonly Primitive[] {
  if (part.kind !== 'voltageSource') return [part];
  return isBatteryVoltage(part.volts) ? battery(part, state) : [part];
}

/** The source behind its resistance, on a node of its own. */
function battery(source: VoltageSource, { volts, ohms }: BatteryState): readonly Primitive[] {
  const inside: NodeName = `${source.ref} cell`;
  const [plus] = source.nodes;
  return [
    { ...source, nodes: [inside, GROUND], volts: Math.sign(source.volts) * volts },
    {
      kind: 'resistor',
      ...ofPiece(source, 'inner resistance'),
      nodes: [inside, plus],
      ohms,
    },
  ];
}
