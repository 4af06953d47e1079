import { type Build, buildParts } from '../../engine/builds/build.ts';
import { counterpartsOf } from '../../engine/builds/part-pairs.ts';
import { isSameCircuit } from '../../engine/circuits/circuit.ts';
import { fittedCircuit } from '../../engine/circuits/fitted-circuit.ts';
import type { Slot } from '../../worklets/bench-messages.ts';
import type { BenchState, CameFrom } from './bench-state.ts';
import { USUAL_REACH } from './reach.ts';

type OnCard = Pick<BenchState, 'builds' | 'heard' | 'selected'> & Partial<Pick<BenchState, 'cameFrom'>>;

/**
 * Where another circuit is heard than before, the card shows the part that has the same job there: "gain resistor" stays "gain
 * resistor". Back in the first circuit it is the part from before, whatever else has its job.
 */
export function followingPart(before: BenchState, after: BenchState): BenchState {
  const from = before.builds[before.heard];
  const to = after.builds[after.heard];
  if (isSameCircuit(from.circuit, to.circuit)) return after;
  const { selected: ref, reach } = before;
  const back = cameFrom(before, to);
  const [job] = counterpartsOf(from, ref, to);
  const selected = back?.ref ?? job ?? partOrFirst(to, ref);
  return {
    ...after,
    selected,
    reach: back?.reach ?? (job === undefined ? USUAL_REACH : reach),
    cameFrom: { circuit: from.circuit, ref, reach, standIn: selected },
  };
}

/** Of builds of two circuits: the side that is not heard, and its part with the job of the one on the card. */
export function partBeside(state: OnCard): { readonly slot: Slot; readonly ref: string } | undefined {
  const { builds, heard, selected } = state;
  const slot = heard === 'a' ? 'b' : 'a';
  if (isSameCircuit(builds.a.circuit, builds.b.circuit)) return undefined;
  const refs = counterpartsOf(builds[heard], selected, builds[slot]);
  const before = cameFrom(state, builds[slot])?.ref;
  const ref = before !== undefined && refs.includes(before) ? before : refs[0];
  return ref === undefined ? undefined : { slot, ref };
}

/** The part of this name, or the circuit's first part if there is none. */
export function partOrFirst(build: Build, ref: string): string {
  const parts = buildParts(fittedCircuit(build));
  return parts.some((part) => part.ref === ref) ? ref : (parts[0]?.ref ?? ref);
}

/** Where the part on the card came from, if that is in the circuit of a build and still fitted there. */
function cameFrom({ cameFrom: before, selected }: Partial<OnCard>, to: Build): CameFrom | undefined {
  if (!before || before.standIn !== selected || !isSameCircuit(before.circuit, to.circuit)) return undefined;
  return partOrFirst(to, before.ref) === before.ref ? before : undefined;
}
