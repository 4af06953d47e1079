import type { Build } from '../../engine/builds/build.ts';
import { groupsWith, usualGroup } from '../../engine/builds/part-groups.ts';
import type { PartGroup } from '../../engine/circuits/part-group.ts';
import type { Slot } from '../../worklets/bench-messages.ts';

/** What a change of the chosen part changes with it: its usual group, nothing, or a group by its name. */
export type Reach =
  | { readonly kind: 'usual' }
  | { readonly kind: 'alone' }
  | { readonly kind: 'group'; readonly name: string };

export const USUAL_REACH: Reach = { kind: 'usual' };

/** The chosen part of the build that is heard, and what changes with it. */
interface Chosen {
  readonly builds: Readonly<Record<Slot, Build>>;
  readonly heard: Slot;
  /** Reference designator. */
  readonly selected: string;
  readonly reach: Reach;
}

/** The group that a change of the chosen part changes; undefined for the part alone. */
export function chosenGroup(chosen: Chosen): PartGroup | undefined {
  const { builds, heard, selected, reach } = chosen;
  if (reach.kind === 'alone') return undefined;
  const named =
    reach.kind === 'group'
      ? groupsWith(builds[heard], selected).find(({ name }) => name === reach.name)
      : undefined;
  return named ?? usualGroup(builds[heard], selected);
}

/** The chosen part, or the parts of its group. */
export function chosenRefs(chosen: Chosen): readonly string[] {
  return chosenGroup(chosen)?.parts ?? [chosen.selected];
}

/** A part and those that a change of it changes in a build. */
export function refsChangedWith(chosen: Chosen, slot: Slot, ref: string): readonly string[] {
  const build = chosen.builds[slot];
  const refs = ref === chosen.selected ? chosenRefs(chosen) : (usualGroup(build, ref)?.parts ?? [ref]);
  return refs.filter((other) => other === ref || build.parts[other] !== undefined);
}

/** The reach after another part was chosen: the group stays while the part is one of it. */
export function reachAt(chosen: Chosen, ref: string): Reach {
  const isInGroup = chosenGroup(chosen)?.parts.includes(ref) ?? ref === chosen.selected;
  return isInGroup ? chosen.reach : USUAL_REACH;
}
