import { inputCorrection } from '../engine/analysis/input-correction.ts';
import type { Build } from '../engine/builds/build.ts';
import { bypassedNetworkOf } from '../engine/builds/bypassed-network.ts';
import { networkOf } from '../engine/builds/network-of-build.ts';
import { kelvinOf } from '../engine/network/temperature.ts';
import { SLOTS, type Slot } from '../worklets/bench-messages.ts';
import type { AudioSession } from './audio/audio-session.ts';
import { whenIdle } from './idle.ts';
import { type BenchStore, isRefusal } from './state/bench-store.ts';

const NONE = new Float64Array(0);

/**
 * Bends a live guitar from how the interface loads it to how each build would, found while the page is idle. Other
 * sources have the guitar as parts ahead of the build instead.
 */
export class BenchGuitar {
  readonly #store: BenchStore;
  readonly #session: AudioSession;
  /** What each slot's correction was made for; empty for none. */
  readonly #told = new Map<Slot, string>();
  readonly #builds = new Map<Slot, Build>();
  #callOff: () => void = () => {};

  constructor(store: BenchStore, session: AudioSession) {
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

  /** What beside the build decides, as one text; empty where nothing is corrected. */
  #conditions(): string {
    const { guitar, source, isBypassed, temperatureC } = this.#store.state;
    if (source.kind !== 'live' || !guitar.isOn) return '';
    return JSON.stringify([guitar.instrument, isBypassed, temperatureC, this.#session.state.sampleRateHz]);
  }

  #isStale(slot: Slot): boolean {
    const conditions = this.#conditions();
    const isOtherBuild = conditions !== '' && this.#builds.get(slot) !== this.#store.state.builds[slot];
    return (this.#told.get(slot) ?? '') !== conditions || isOtherBuild;
  }

  #tell(slot: Slot): void {
    const conditions = this.#conditions();
    const build = this.#store.state.builds[slot];
    this.#told.set(slot, conditions);
    this.#builds.set(slot, build);
    this.#session.correctInput(slot, conditions === '' ? NONE : this.#correctionOf(build));
  }

  #correctionOf(build: Build): Float64Array {
    const { guitar, isBypassed, temperatureC } = this.#store.state;
    const make = isBypassed ? bypassedNetworkOf : networkOf;
    try {
      const pedal = make(build, kelvinOf(temperatureC));
      return inputCorrection(pedal, guitar.instrument, this.#session.state.sampleRateHz).coefficients;
    } catch (error) {
      if (isRefusal(error)) return NONE;
      throw error;
    }
  }
}
