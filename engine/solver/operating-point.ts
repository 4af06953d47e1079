import type { NodeName } from '../devices/node.ts';
import { Refusal } from '../input/refusal.ts';
import type { Network } from '../network/network.ts';
import { NodalAnalysis } from './nodal-analysis.ts';
import { structureWords } from './nodal-structure.ts';
import type { NodalSystem } from './nodal-system.ts';
import { networkParameters } from './parameters.ts';
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

/** A network's analysis, and the structure for which it was made. */
interface PlannedAnalysis {
  readonly analysis: NodalAnalysis;
  readonly structure: readonly string[];
}

/** The analyses that found the operating points in use; they can solve other values of their structure. */
const analyses = new WeakMap<OperatingPoint, PlannedAnalysis>();

/**
 * Operating point of a network.
 *
 * @param near Operating point of the network with slightly different values. If the DC equations can be solved
 * from there at once, as after a knob has moved, it takes a tenth of the time.
 * @throws OperatingPointError if no operating point is found.
 */
export function operatingPoint(network: Network, near?: OperatingPoint): OperatingPoint {
  const structure = structureWords(network);
  const known = near && analyses.get(near);
  if (known && areEqual(structure, known.structure) && isFoundBy(known, network, near)) return kept(known);
  const analysis = new NodalAnalysis(network);
  findRest(analysis, near);
  return kept({ analysis, structure });
}

/** The state of an analysis, which can be found again with it. */
function kept(planned: PlannedAnalysis): OperatingPoint {
  const state = stateOf(planned.analysis);
  analyses.set(state, planned);
  return state;
}

/** Whether the analysis that found an operating point finds that of other values, without planning anew. */
function isFoundBy({ analysis }: PlannedAnalysis, network: Network, near: OperatingPoint): boolean {
  analysis.system.setParameters(networkParameters(network));
  takeState(analysis, near);
  const { search } = analysis;
  return search.from(search.volts, search.inductorA) === 'found';
}

function areEqual(a: readonly string[], b: readonly string[]): boolean {
  return a.length === b.length && a.every((word, index) => word === b[index]);
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
