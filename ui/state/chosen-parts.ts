import { buildParts, type PartSetting, startingBuild } from '../../engine/builds/build.ts';
import { sameChange } from '../../engine/builds/part-groups.ts';
import { fittedCircuit } from '../../engine/circuits/fitted-circuit.ts';
import type { Slot } from '../../worklets/bench-messages.ts';
import type { BenchState, PartsChange } from './bench-state.ts';
import { offeredAt } from './owned-parts.ts';
import { stepSetting } from './part-steps.ts';
import { refsChangedWith } from './reach.ts';

/**
 * The change of a part, and the same change of the others in its group.
 *
 * @param setting What the part becomes, seen from `drawn`: other changes that are on their way to the screen stay.
 * @param wanted The state with all changes that are on their way.
 */
export function partChange(
  wanted: BenchState,
  slot: Slot,
  ref: string,
  setting: PartSetting,
  { drawn = wanted, isDialled = false }: { readonly drawn?: BenchState; readonly isDialled?: boolean } = {},
): PartsChange {
  const before = drawn.builds[slot].parts[ref] ?? {};
  const changed = (present: PartSetting) => sameChange(before, setting, present);
  const own = changed(wanted.builds[slot].parts[ref] ?? {});
  const action = inGroup(wanted, slot, ref, own, changed);
  return isDialled ? { ...action, isDialled } : action;
}

/** The chosen part of the heard build some steps on; undefined at an end, and for a part that has no steps. */
export function partStep(state: BenchState, steps: number): PartsChange | undefined {
  const { heard: slot, builds, selected: ref, series } = state;
  const part = buildParts(fittedCircuit(builds[slot])).find((each) => each.ref === ref);
  const setting =
    part && stepSetting(part, builds[slot].parts[ref] ?? {}, series, steps, offeredAt(state, slot, part));
  return setting && partChange(state, slot, ref, setting);
}

/** A part and the others in its group as the circuit starts with them. */
export function partReset(state: BenchState, slot: Slot, ref: string): PartsChange {
  const { parts } = startingBuild(state.builds[slot].circuit);
  return inGroup(state, slot, ref, parts[ref] ?? {}, (_, other) => parts[other] ?? {});
}

/** The others in the group of a part become what it is. */
export function partRepeated(state: BenchState, slot: Slot, ref: string): PartsChange {
  const setting = state.builds[slot].parts[ref] ?? {};
  return inGroup(state, slot, ref, setting, () => setting);
}

function inGroup(
  state: BenchState,
  slot: Slot,
  ref: string,
  setting: PartSetting,
  settingOf: (present: PartSetting, ref: string) => PartSetting,
): PartsChange {
  const { parts } = state.builds[slot];
  const others = refsChangedWith(state, slot, ref)
    .filter((other) => other !== ref)
    .map((other) => [other, settingOf(parts[other]!, other)] as const);
  return {
    type: 'setPart',
    slot,
    ref,
    setting,
    ...(others.length > 0 && { others: Object.fromEntries(others) }),
  };
}
