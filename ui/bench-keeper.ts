import type { ReactiveController, ReactiveControllerHost } from 'lit';
import { followSpeaker } from './ear/kept-speaker.ts';
import type { BenchStore } from './state/bench-store.ts';
import { saveCalibrations } from './state/kept-calibrations.ts';
import { saveDrawer } from './state/kept-drawer.ts';
import { saveMeasured } from './state/kept-measured.ts';
import { keptBench, saveBench } from './state/saved-bench.ts';
import { saveSetAside } from './state/set-aside.ts';
import { goneText, noteUnderway } from './state/underway.ts';
import { type Keeping, keptTexts } from './storage/kept-texts.ts';
import { askToPersist } from './storage/persistence.ts';
import { TabClaim } from './storage/tab-claim.ts';

/** Stores the bench between visits, and knows whether that works. */
export class BenchKeeper implements ReactiveController {
  readonly #host: ReactiveControllerHost;
  readonly #store: BenchStore;
  readonly #claim = new TabClaim({
    onChange: (claim) => keptTexts.claimed(claim),
    hasBeenOvertaken: () => keptBench() !== this.#keptAtStart,
  });
  readonly #keptAtStart = keptBench();
  /** What the closed page lost, in one sentence. */
  #gone = goneText();
  #dismissed: Keeping | undefined;

  constructor(host: ReactiveControllerHost, store: BenchStore) {
    this.#host = host;
    this.#store = store;
    host.addController(this);
    void followSpeaker(store);
  }

  /** Whether changes are kept, as far as it was not dismissed. */
  get keeping(): Keeping {
    return keptTexts.keeping === this.#dismissed ? 'kept' : keptTexts.keeping;
  }

  /** What the closed page lost. */
  get gone(): string | undefined {
    return this.#gone;
  }

  hostConnected(): void {
    keptTexts.addEventListener('change', this.#onKeeping);
    keptTexts.check();
    this.#claim.ask();
  }

  hostDisconnected(): void {
    keptTexts.removeEventListener('change', this.#onKeeping);
    this.#claim.release();
  }

  /** Keeps the state of the bench. */
  save(): void {
    const { state } = this.#store;
    // Before the bench, which may have other builds than those that are set aside.
    saveSetAside(state.setAside);
    saveBench(state);
    saveCalibrations(state.calibrations);
    saveMeasured(state.measured);
    saveDrawer(state.drawer);
    noteUnderway(state);
    if (state.isListening) void askToPersist();
  }

  /** Stores this tab's bench from now on, instead of another tab's. */
  takeOver(): void {
    this.#claim.takeOver();
    this.save();
  }

  dismissKeeping(): void {
    this.#dismissed = keptTexts.keeping;
    this.#host.requestUpdate();
  }

  dismissGone(): void {
    this.#gone = undefined;
    this.#host.requestUpdate();
  }

  readonly #onKeeping = (): void => {
    this.#host.requestUpdate();
  };
}
