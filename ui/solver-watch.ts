import type { ReactiveController, ReactiveControllerHost } from 'lit';
import type { Build } from '../engine/builds/build.ts';
import { kelvinOf } from '../engine/network/temperature.ts';
import { SLOTS, type Slot } from '../worklets/bench-messages.ts';
import type { AccuracyPlan } from './ear/ear-jobs.ts';
import type { Phrase } from './ear/phrase.ts';
import type { LiveFactor } from './rate/live-rate.ts';
import type { BenchState } from './state/bench-state.ts';

/** Nothing is asked until nothing has changed for so long, ms. */
const REST_MS = 1500;

/** What the watch looks at, and what it has done. */
export interface WatchedBench {
  readonly state: () => Pick<BenchState, 'builds' | 'temperatureC' | 'source' | 'isListening'>;
  readonly factor: () => LiveFactor;
  /** The loudest of what plays. @throws where there is nothing. */
  readonly excerpts: () => Promise<
    { readonly excerptsV: readonly Float64Array[] } & Pick<Phrase, 'sampleRateHz'>
  >;
  /** A sentence where the solver's error is large enough to be known. @throws where the build cannot be solved. */
  readonly judge: (plan: AccuracyPlan) => Promise<string | undefined>;
}

/**
 * While the bench is heard: whether the solver is off by more than an ear should judge by, on excerpts of what plays and
 * at the rate at which it plays, found beside the page.
 */
export class SolverWatch implements ReactiveController {
  readonly #host: ReactiveControllerHost;
  readonly #bench: WatchedBench;
  #warnings: Readonly<Record<Slot, string | undefined>> = { a: undefined, b: undefined };
  /** What was asked last for each. */
  readonly #asked = new Map<Slot, Asked>();
  #timer = 0;

  constructor(host: ReactiveControllerHost, bench: WatchedBench) {
    this.#host = host;
    this.#bench = bench;
    host.addController(this);
  }

  /** Of the builds as they are; none until they have been looked at. */
  get warnings(): Readonly<Record<Slot, string | undefined>> {
    return this.#warnings;
  }

  hostDisconnected(): void {
    clearTimeout(this.#timer);
    this.#asked.clear();
  }

  /** To be called after every change. */
  check(): void {
    clearTimeout(this.#timer);
    const stale = SLOTS.filter((slot) => !isSame(this.#asked.get(slot), this.#askable(slot)));
    if (stale.length === 0 || !this.#bench.state().isListening) return;
    this.#timer = setTimeout(() => void this.#look(stale), REST_MS) as unknown as number;
  }

  #askable(slot: Slot): Asked {
    const { builds, temperatureC, source } = this.#bench.state();
    return { build: builds[slot], temperatureC, source, factor: this.#bench.factor() };
  }

  async #look(slots: readonly Slot[]): Promise<void> {
    const all = slots.map((slot) => [slot, this.#askable(slot)] as const);
    for (const [slot, asked] of all) this.#asked.set(slot, asked);
    try {
      const playing = await this.#bench.excerpts();
      for (const [slot, asked] of all) {
        const { build, temperatureC, factor } = asked;
        const plan = { ...playing, build, factor, temperatureK: kelvinOf(temperatureC) };
        const warning = await this.#bench.judge(plan);
        if (this.#asked.get(slot) === asked) this.#warnings = { ...this.#warnings, [slot]: warning };
      }
    } catch {
      // Nothing plays, or the build is refused, which is said where it was swapped: then nothing is known of it.
      for (const [slot, asked] of all)
        if (this.#asked.get(slot) === asked) this.#warnings = { ...this.#warnings, [slot]: undefined };
    }
    this.#host.requestUpdate();
  }
}

interface Asked {
  readonly build: Build;
  readonly temperatureC: number;
  readonly source: unknown;
  readonly factor: LiveFactor;
}

function isSame(one: Asked | undefined, other: Asked): boolean {
  return (
    one?.build === other.build &&
    one.temperatureC === other.temperatureC &&
    one.source === other.source &&
    one.factor === other.factor
  );
}
