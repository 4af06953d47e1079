import { noiseFilter } from '../engine/analysis/noise-filter.ts';
import type { AudioSession } from './audio/audio-session.ts';
import { SlotFollower } from './slot-follower.ts';
import type { BenchStore } from './state/bench-store.ts';
import { restNoise } from './state/rest-noise.ts';

/** What the noise needs of the session. */
type Session = Pick<AudioSession, 'state' | 'setNoise' | 'addEventListener'>;

/** Keeps the noise that is heard with each build true to the bench. */
export function followNoise(store: BenchStore, session: Session): void {
  new SlotFollower(store, session, {
    conditions: ({ hearsNoise, temperatureC, isBypassed }) =>
      hearsNoise ? `${temperatureC} ${isBypassed} ${session.state.sampleRateHz}` : '',
    tell: (slot, build) => {
      const noise = build && restNoise(build, store.state);
      const { sampleRateHz } = session.state;
      session.setNoise(slot, noiseFilter(noise?.points ?? [], sampleRateHz).coefficients);
    },
  });
}
