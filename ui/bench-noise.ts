import { noiseFilter } from '../engine/analysis/noise-filter.ts';
import type { Build } from '../engine/builds/build.ts';
import { SLOTS, type Slot } from '../worklets/bench-messages.ts';
import type { AudioSession } from './audio/audio-session.ts';
import { whenIdle } from './idle.ts';
import type { BenchStore } from './state/bench-store.ts';
import { restNoise } from './state/rest-noise.ts';

/** What the noise needs of the session. */
type Session = Pick<AudioSession, 'state' | 'setNoise' | 'addEventListener'>;

/** Keeps the noise that is heard with each build true to the bench, found while the page is idle. */
export class BenchNoise {
  readonly #store: BenchStore;
  readonly #session: Session;
  /** What each slot's filter was made for. */
  readonly #told = new Map<Slot, string>();
  readonly #builds = new Map<Slot, Build>();
  #callOff: () => void = () => {};

  constructor(store: BenchStore, session: Session) {
    this.#store = store;
    this.#session = session;
    store.addEventListener('change', this.#follow);
    session.addEventListener('change', this.#follow);
  }

  readonly #follow = (): void => {
    if (!SLOTS.some((slot) => this.#isStale(slot))) return;
    this.#callOff();
    this.#callOff = whenIdle(() => {
      for (const slot of SLOTS) if (this.#isStale(slot)) this.#tell(slot);
    });
  };

  #isStale(slot: Slot): boolean {
    const { builds, hearsNoise } = this.#store.state;
    if (!hearsNoise) return (this.#told.get(slot) ?? '') !== '';
    return this.#told.get(slot) !== this.#conditions() || this.#builds.get(slot) !== builds[slot];
  }

  /** What beside the build decides, as one text; never empty. */
  #conditions(): string {
    const { temperatureC, isBypassed } = this.#store.state;
    return `${temperatureC} ${isBypassed} ${this.#session.state.sampleRateHz}`;
  }

  #tell(slot: Slot): void {
    const { state } = this.#store;
    const build = state.builds[slot];
    const noise = state.hearsNoise ? restNoise(build, state) : undefined;
    this.#told.set(slot, state.hearsNoise ? this.#conditions() : '');
    this.#builds.set(slot, build);
    const { sampleRateHz } = this.#session.state;
    this.#session.setNoise(slot, noiseFilter(noise?.points ?? [], sampleRateHz).coefficients);
  }
}
