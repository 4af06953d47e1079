import type { Build } from '../../engine/builds/build.ts';
import { pairedControl } from '../../engine/builds/control-pairs.ts';
import { switchPositions } from '../../engine/builds/control-positions.ts';
import type { Slot } from '../../worklets/bench-messages.ts';

/** A move of a knob or switch. */
export type ControlAction =
  | {
      readonly type: 'turnKnob';
      readonly slot: Slot;
      readonly name: string;
      readonly rotation: number;
      /** Whether the other build keeps its own position even if controls turn together. */
      readonly isAlone?: boolean;
    }
  | { readonly type: 'throwSwitch'; readonly slot: Slot; readonly name: string; readonly position: string };

type Builds = Readonly<Record<Slot, Build>>;

/** The builds after a knob or switch was moved; where they are linked, with the control of the same job in the other build. */
export function withControl(builds: Builds, action: ControlAction, isLinked: boolean): Builds {
  const { slot, name } = action;
  const other: Slot = slot === 'a' ? 'b' : 'a';
  const moved = { ...builds, [slot]: moveIn(builds[slot], action, name) };
  if (!isLinked) return moved;
  const what = action.type === 'turnKnob' ? 'knobs' : 'switches';
  const paired = pairedControl(builds[slot].circuit, builds[other].circuit, what, name);
  return paired === undefined ? moved : { ...moved, [other]: moveIn(builds[other], action, paired) };
}

/** The same build where it has no such control, or not that position. */
function moveIn(build: Build, action: ControlAction, name: string): Build {
  const { knobs, switches, circuit } = build;
  if (action.type === 'turnKnob') {
    return name in knobs ? { ...build, knobs: { ...knobs, [name]: action.rotation } } : build;
  }
  const { position } = action;
  return switchPositions(circuit, name).includes(position)
    ? { ...build, switches: { ...switches, [name]: position } }
    : build;
}
