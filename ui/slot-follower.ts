import type { Build } from '../engine/builds/build.ts';
import { SLOTS, type Slot } from '../worklets/bench-messages.ts';
import { whenIdle } from './idle.ts';
import type { BenchState } from './state/bench-state.ts';
import type { BenchStore } from './state/bench-store.ts';

/** Data of each build for the audio thread. */
export interface Followed {
  /** What beside the build that is looked at decides, as one text; empty where nothing is to be told. */
  readonly conditions: (state: BenchState, slot: Slot) => string;
  /** @param build Undefined where what was told is to be taken back. */
  readonly tell: (slot: Slot, build: Build | undefined) => void;
}

/** Keeps data of each build up to date in the audio thread: computed while the page is idle, and only after a change. */
export class SlotFollower {
  readonly #store: BenchStore;
  readonly #followed: Followed;
  /** Conditions of the last data of each slot. */
  readonly #told = new Map<Slot, string>();
  readonly #builds = new Map<Slot, Build>();
  #callOff: () => void = () => {};

  constructor(store: BenchStore, session: Pick<EventTarget, 'addEventListener'>, followed: Followed) {
    this.#store = store;
    this.#followed = followed;
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
    const { state } = this.#store;
    const conditions = this.#followed.conditions(state, slot);
    const isOtherBuild = conditions !== '' && this.#builds.get(slot) !== state.builds[slot];
    return (this.#told.get(slot) ?? '') !== conditions || isOtherBuild;
  }

  #tell(slot: Slot): void {
    const { state } = this.#store;
    const conditions = this.#followed.conditions(state, slot);
    const build = state.builds[slot];
    this.#told.set(slot, conditions);
    this.#builds.set(slot, build);
    this.#followed.tell(slot, conditions === '' ? undefined : build);
  }
}
