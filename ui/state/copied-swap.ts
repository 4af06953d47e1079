import { BuildError } from '../../engine/builds/build-error.ts';
import { canonicalSetting } from '../../engine/builds/canonical-setting.ts';
import type { Swapped } from '../../engine/builds/circuit-swaps.ts';
import { switchPositions } from '../../engine/builds/control-positions.ts';
import type { Slot } from '../../worklets/bench-messages.ts';
import type { Action, Builds } from './bench-state.ts';

/** The edit that gives a build what the other one, of another circuit, has for the same job; undefined if it does not fit there. */
export function copiedSwap(builds: Builds, { what, before, after }: Swapped, slot: Slot): Action | undefined {
  const [from, to] = slot === 'a' ? [after, before] : [before, after];
  const [source, target] = [builds[slot === 'a' ? 'b' : 'a'], builds[slot]];
  if (from.kind !== to.kind) return undefined;
  switch (what) {
    case 'part': {
      if (to.kind === 'switch' || to.kind === 'bypass') return undefined;
      const part = { ref: to.place, kind: to.kind };
      try {
        const setting = canonicalSetting(part, source.parts[from.place] ?? {});
        return { type: 'setPart', slot, ref: to.place, setting };
      } catch (error) {
        if (!(error instanceof BuildError)) throw error;
        return undefined;
      }
    }
    case 'knob':
      return {
        type: 'turnKnob',
        slot,
        name: to.name,
        rotation: source.knobs[from.name] ?? 0,
        isAlone: true,
      };
    case 'switch': {
      const position = source.switches[from.name] ?? '';
      const fits = switchPositions(target.circuit, to.name).includes(position);
      return fits ? { type: 'throwSwitch', slot, name: to.name, position } : undefined;
    }
    case 'bypass': {
      const { bypass } = source;
      return target.circuit.bypass.kinds.includes(bypass) ? { type: 'setBypass', slot, bypass } : undefined;
    }
  }
}
