import { type Build, buildParts } from '../../engine/builds/build.ts';
import { isSameCircuit } from '../../engine/circuits/circuit.ts';
import { fittedCircuit } from '../../engine/circuits/fitted-circuit.ts';
import { SLOTS, type Slot } from '../../worklets/bench-messages.ts';
import type { BenchState } from './bench-state.ts';

/**
 * The builds in which a part is shown to be changed. A reference means another part in another circuit, so of two
 * circuits only the build that is heard is shown. None if the heard build does not have the part.
 */
export function slotsOfPart(
  { builds, heard }: Pick<BenchState, 'builds' | 'heard'>,
  ref: string,
): readonly Slot[] {
  if (!isFitted(builds[heard], ref)) return [];
  if (!isSameCircuit(builds.a.circuit, builds.b.circuit)) return [heard];
  return SLOTS.filter((slot) => isFitted(builds[slot], ref));
}

/** Whether the card of the chosen part, where it is in sight, tells what was refused. */
export function isToldOnCard(state: Pick<BenchState, 'builds' | 'heard' | 'selected' | 'refusal'>): boolean {
  const { refusal, selected } = state;
  if (!refusal || refusal.ref !== selected) return false;
  const slots = slotsOfPart(state, refusal.ref);
  return refusal.slot === undefined ? slots.length > 0 : slots.includes(refusal.slot);
}

/** Whether a build has the part: those of another kind of bypass are not soldered. */
function isFitted(build: Build, ref: string): boolean {
  return buildParts(fittedCircuit(build)).some((part) => part.ref === ref);
}
