import type { FootswitchPosition } from '../engine/circuits/circuit.ts';
import { SLOTS, type Slot } from '../worklets/bench-messages.ts';
import type { AudioSession } from './audio/audio-session.ts';
import type { HeardPops } from './plots/plot-analysis.ts';
import type { BenchChange } from './state/bench-change.ts';
import type { BenchState } from './state/bench-state.ts';
import type { BenchStore } from './state/bench-store.ts';
import { indexIn, pedalsOf } from './state/chains.ts';

/** Part of the session that the pops use. */
type Session = Pick<AudioSession, 'pop'>;

/**
 * Lets the footswitches be heard: each pedal pops as its circuit does. A and B switch without one, since that is no footswitch.
 *
 * @param popsOf Those of a pedal as it is now; undefined where they are not known yet or the circuit has no footswitch.
 */
export function followFootswitch(
  store: BenchStore,
  session: Session,
  popsOf: (slot: Slot, index: number) => HeardPops | undefined,
): void {
  store.onChange((change) => {
    for (const slot of SLOTS) {
      const switched = switchedPedal(change, slot);
      const pops = switched && popsOf(slot, switched.index);
      if (pops) session.pop(slot, pops.heard[switched.position]);
    }
  });
}

interface Switched {
  readonly index: number;
  readonly position: FootswitchPosition;
}

/** The pedal that is switched and where to; undefined if none is, as when another one is looked at or pedals are moved. */
function switchedPedal({ before, after }: BenchChange, slot: Slot): Switched | undefined {
  const was = pedalsOf(before, slot);
  const now = pedalsOf(after, slot);
  if (was.length !== now.length || was.some(({ build }, index) => build !== now[index]!.build))
    return undefined;
  const earlier = positions(before, slot);
  const switched = positions(after, slot).flatMap((position, index): Switched[] =>
    position === earlier[index] ? [] : [{ index, position }],
  );
  // The bypass of the bench switches all pedals that are on: the one that is looked at pops for them. Nothing else
  // switches two at once: they have changed places.
  if (before.isBypassed === after.isBypassed && switched.length > 1) return undefined;
  return switched.find(({ index }) => index === indexIn(after.places[slot])) ?? switched[0];
}

/** Of the footswitch of each pedal. */
function positions(state: BenchState, slot: Slot): readonly FootswitchPosition[] {
  return pedalsOf(state, slot).map(({ isOn }) => (state.isBypassed || !isOn ? 'bypassed' : 'on'));
}
