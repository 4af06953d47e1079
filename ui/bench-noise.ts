import { noiseFilter } from '../engine/analysis/noise-filter.ts';
import type { AudioSession } from './audio/audio-session.ts';
import { SlotFollower } from './slot-follower.ts';
import type { BenchStore } from './state/bench-store.ts';
import { restConditions, restConditionsText, restNoise } from './state/rest-noise.ts';

/** Part of the session that the noise uses. */
type Session = Pick<AudioSession, 'state' | 'setNoise' | 'addEventListener'>;

/** Keeps the audible hiss of each build up to date. */
export function followNoise(store: BenchStore, session: Session): void {
  new SlotFollower(store, session, {
    conditions: (state, slot) =>
      state.hearsNoise
        ? `${restConditionsText(restConditions(state, slot))} ${session.state.sampleRateHz}`
        : '',
    tell: (slot, build) => {
      const noise = build && restNoise(build, restConditions(store.state, slot));
      const { sampleRateHz } = session.state;
      session.setNoise(slot, noiseFilter(noise?.points ?? [], sampleRateHz).coefficients);
    },
  });
}
