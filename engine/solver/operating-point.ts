import type { NodeName } from '../devices/node.ts';
import { Refusal } from '../input/refusal.ts';
import type { Network } from '../network/network.ts';
import { NodalAnalysis } from './nodal-analysis.ts';
import type { NodalSystem } from './nodal-system.ts';
import type { RestSearch, RestStatus } from './rest-search.ts';

/** DC operating point of a network with the input at 0 V. */
export interface OperatingPoint {
  /** Voltage of each node against ground, V. */
  readonly volts: ReadonlyMap<NodeName, number>;
  /** Current through each inductor from its first to its second node, A, by reference designator. */
  readonly inductorA: ReadonlyMap<string, number>;
}

/** No operating point was found, or none in which every op-amp has a supply; the message names the net or op-amp. */
export class OperatingPointError extends Refusal {
  constructor(code: 'rest-state' | 'starved', message: string) {
    super(code, message);
    this.name = 'OperatingPointError';
  }
}

/**
 * Operating point of a network.
 *
 * @param near Operating point of the network with slightly different values. If the DC equations can be solved
 * from there at once, as after a knob has moved, it takes a tenth of the time.
 * @throws OperatingPointError if no operating point is found.
 */
export function operatingPoint(network: Network, near?: OperatingPoint): OperatingPoint {
  const analysis = new NodalAnalysis(network);
  findRest(analysis, near);
  return stateOf(analysis);
}

/** Lets an analysis find its operating point. @param near See `operatingPoint`. @throws OperatingPointError. */
export function findRest(analysis: NodalAnalysis, near?: OperatingPoint): void {
  if (near && restNear(analysis, near) === 'found') return;
  refuseUnlessFound(analysis, analysis.settle());
}

function restNear(analysis: NodalAnalysis, near: OperatingPoint): RestStatus {
  takeState(analysis, near);
  analysis.linearise();
  analysis.smallSignal.plan();
  const { search } = analysis;
  return search.from(search.volts, search.inductorA);
}

/** Puts an analysis in an operating point that was found elsewhere; nodes that it does not know are at 0 V. */
export function takeState({ system, search }: NodalAnalysis, { volts, inductorA }: OperatingPoint): void {
  search.volts.set(system.nodeNames.map((name) => volts.get(name) ?? 0));
  search.inductorA.set(system.structure.inductors.map(({ ref }) => inductorA.get(ref) ?? 0));
}

/** The operating point that an analysis has found, by names. */
export function stateOf({ system, search }: NodalAnalysis): OperatingPoint {
  const { nodeNames, structure } = system;
  return {
    volts: new Map(nodeNames.map((name, index) => [name, search.volts[index]!])),
    inductorA: new Map(structure.inductors.map(({ ref }, index) => [ref, search.inductorA[index]!])),
  };
}

/** Refuses a search that found nothing, in words for the screen. @throws OperatingPointError. */
export function refuseUnlessFound({ system, search }: NodalAnalysis, status: RestStatus): void {
  if (status === 'starved') throw new OperatingPointError('starved', starvedMessage(system, search));
  if (status === 'found') return;
  throw new OperatingPointError(
    'rest-state',
    `The circuit has no DC operating point: its voltages do not settle, least of all net ${widestNet(system, search.volts)}. Undo the last change.`,
  );
}

function starvedMessage({ structure }: NodalSystem, search: RestSearch): string {
  const starved = search.starvedOpamp();
  const volts = search.supplyV(starved);
  const got = volts > 0 ? `${volts.toFixed(1)} V are` : '0 V are';
  return `${structure.opamps[starved]!.ref} is starved: ${got} between its supply pins, and it needs ${search.neededV(starved).toFixed(1)} V. Give the supply less resistance or more volts.`;
}

/** The net with the voltage farthest from ground: it shows where a circuit runs away. */
function widestNet(system: NodalSystem, volts: Float64Array): NodeName {
  let widest = 0;
  for (let node = 1; node < volts.length; node++) {
    if (Math.abs(volts[node]!) > Math.abs(volts[widest]!)) widest = node;
  }
  return system.nodeNames[widest] ?? '';
}
