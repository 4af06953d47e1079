import { isSameCircuit } from '../../engine/circuits/circuit.ts';
import { SLOTS } from '../../worklets/bench-messages.ts';
import type { BenchState } from './bench-state.ts';
import type { Sides } from './chains.ts';
import type { EarState } from './ear-state.ts';

/** A probed net is one of a circuit, so the probe goes back to the output where another circuit is on the sheet. */
export function withSides(state: BenchState, { builds, places }: Sides): BenchState {
  const isOther = SLOTS.some((slot) => !isSameCircuit(state.builds[slot].circuit, builds[slot].circuit));
  return { ...state, builds, places, probe: isOther ? undefined : state.probe, refusal: undefined };
}

/** Candidates are over once B becomes something else, or the chain of a side does; their verdicts stay. */
export function earAfterEdit({ ear, builds, places }: BenchState, after: Sides): EarState {
  const run = ear.candidates;
  if (run?.at === undefined || (after.builds.b === builds.b && after.places === places)) return ear;
  return { ...ear, candidates: { ...run, at: undefined, isHidden: false } };
}
