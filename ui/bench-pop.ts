import type { FootswitchPosition } from '../engine/circuits/circuit.ts';
import { SLOTS, type Slot } from '../worklets/bench-messages.ts';
import type { AudioSession } from './audio/audio-session.ts';
import type { HeardPops } from './plots/plot-analysis.ts';
import type { BenchChange } from './state/bench-change.ts';
import type { BenchStore } from './state/bench-store.ts';
import { playedBuild, positionOf } from './state/played-network.ts';

/** Part of the session that the pops use. */
type Session = Pick<AudioSession, 'pop'>;

/**
 * Lets the footswitch be heard: each build pops as its circuit does. A and B switch without one, since that is no footswitch.
 *
 * @param popsOf Those of a build as it is now; undefined where they are not known yet or the circuit has no footswitch.
 */
export function followFootswitch(
  store: BenchStore,
  session: Session,
  popsOf: (slot: Slot) => HeardPops | undefined,
): void {
  store.onChange((change) => {
    for (const slot of SLOTS) {
      const position = switchedTo(change, slot);
      if (position === undefined) continue;
      const pops = popsOf(slot);
      if (pops) session.pop(slot, pops.heard[position]);
    }
  });
}

/** Where the footswitch of the pedal that is looked at has gone; undefined if it stays, as with another pedal. */
function switchedTo({ before, after }: BenchChange, slot: Slot): FootswitchPosition | undefined {
  if (before.builds[slot] !== after.builds[slot]) return undefined;
  const [was, is] = [before, after].map((state) => positionOf(playedBuild(state, slot)));
  return was === is ? undefined : is;
}
