import { SLOTS, type Slot } from '../worklets/bench-messages.ts';
import type { AudioSession } from './audio/audio-session.ts';
import type { HeardPops } from './plots/plot-analysis.ts';
import type { BenchStore } from './state/bench-store.ts';

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
    if (!change.isOf('isBypassed')) return;
    const position = change.after.isBypassed ? 'bypassed' : 'on';
    for (const slot of SLOTS) {
      const pops = popsOf(slot);
      if (pops) session.pop(slot, pops.heard[position]);
    }
  });
}
