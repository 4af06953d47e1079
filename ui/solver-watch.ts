import type { ReactiveController, ReactiveControllerHost } from 'lit';
import { Refusal } from '../engine/input/refusal.ts';
import { SLOTS, type Slot } from '../worklets/bench-messages.ts';
import type { Source } from './audio/prepared-source.ts';
import type { AccuracyPlan } from './ear/ear-jobs.ts';
import type { Phrase } from './ear/phrase.ts';
import { withPedalNames } from './pedal-names.ts';
import type { LiveFactor } from './rate/live-rate.ts';
import type { BenchState } from './state/bench-state.ts';
import { type PlayedBuild, type PlayedState, playedBuild } from './state/played-network.ts';

/** The watch asks only after nothing has changed for this long, ms. */
const REST_MS = 1500;

/** A live input is not recorded, so the watch plays notes of its own. */
const LIVE_NOTE = 'Computed for plucked notes of 0.5 V peak, not for what you play.';

/** All of the bench on which a warning depends. */
type WatchedState = PlayedState &
  Pick<BenchState, 'isListening'> & {
    readonly calibration: Pick<BenchState['calibration'], 'volts'>;
    readonly ear: Pick<BenchState['ear'], 'riffs'>;
  };

/** What the watch looks at, and what it has done. */
export interface WatchedBench {
  readonly state: () => WatchedState;
  /** How the circuits are solved, and the rate of the output, which changes where it is opened again. */
  readonly rate: () => { readonly factor: LiveFactor; readonly sampleRateHz: number };
  /** The loudest section of the present source. @throws if there is none. */
  readonly excerpts: () => Promise<
    { readonly excerptsV: readonly Float64Array[] } & Pick<Phrase, 'sampleRateHz'>
  >;
  /** A sentence if the solver's error is large enough to be reported. @throws if the build cannot be solved. */
  readonly judge: (plan: AccuracyPlan) => Promise<string | undefined>;
}

/**
 * While the bench plays: finds whether the solver's error is too large for a judgement by ear, on excerpts of the
 * present source and at the present rate, in a worker.
 */
export class SolverWatch implements ReactiveController {
  readonly #host: ReactiveControllerHost;
  readonly #bench: WatchedBench;
  readonly #found = new Map<Slot, Found>();
  /** What was asked last for each. */
  readonly #asked = new Map<Slot, Asked>();
  #timer = 0;

  constructor(host: ReactiveControllerHost, bench: WatchedBench) {
    this.#host = host;
    this.#bench = bench;
    host.addController(this);
  }

  /** Whether the warnings are those of what plays now. A build of which nothing can be known counts as checked. */
  get isDone(): boolean {
    return SLOTS.every((slot) => isSame(this.#found.get(slot)?.asked, this.#askable(slot)));
  }

  /** Results for the present builds; empty until they have been checked. */
  get warnings(): Readonly<Record<Slot, string | undefined>> {
    return { a: this.#warningOf('a'), b: this.#warningOf('b') };
  }

  #warningOf(slot: Slot): string | undefined {
    const found = this.#found.get(slot);
    const isPresent = isSame(found?.asked, this.#askable(slot));
    return isPresent && found?.warning !== undefined ? withPedalNames(found.warning) : undefined;
  }

  hostDisconnected(): void {
    clearTimeout(this.#timer);
    this.#asked.clear();
  }

  /** Must be called after every change. */
  check(): void {
    clearTimeout(this.#timer);
    const stale = SLOTS.filter((slot) => !isSame(this.#asked.get(slot), this.#askable(slot)));
    if (stale.length === 0 || !this.#bench.state().isListening) return;
    this.#timer = setTimeout(() => void this.#look(stale), REST_MS) as unknown as number;
  }

  #askable(slot: Slot): Asked {
    const state = this.#bench.state();
    const { source, calibration } = state;
    const riff = source.kind === 'riff' ? state.ear.riffs.find(({ id }) => id === source.id) : undefined;
    return {
      ...playedBuild(state, slot),
      source,
      fileVolts: source.kind === 'file' ? calibration.volts : undefined,
      startFrame: riff?.startFrame,
      endFrame: riff?.endFrame,
      ...this.#bench.rate(),
    };
  }

  async #look(slots: readonly Slot[]): Promise<void> {
    const all = slots.map((slot) => [slot, this.#askable(slot)] as const);
    for (const [slot, asked] of all) this.#asked.set(slot, asked);
    for (const [slot, asked] of all) {
      if (this.#asked.get(slot) !== asked) continue;
      const warning = await this.#judged(asked).catch((error) => {
        // Asked again after the next change.
        for (const each of slots) this.#asked.delete(each);
        throw error;
      });
      if (this.#asked.get(slot) === asked) this.#found.set(slot, { asked, warning });
      this.#host.requestUpdate();
    }
  }

  async #judged({
    source,
    build,
    temperatureC,
    isBypassed,
    instrument,
    load,
    chain,
    factor,
  }: Asked): Promise<string | undefined> {
    try {
      const played = { build, temperatureC, isBypassed, instrument, load, chain };
      const warning = await this.#bench.judge({ ...(await this.#bench.excerpts()), played, factor });
      return warning !== undefined && source.kind === 'live' ? `${warning} ${LIVE_NOTE}` : warning;
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      // Silence, or a build that is refused, which is said where it was swapped: nothing is to be said here.
      return error.code === 'worker' ? `The solver's error is not known. ${error.message}` : undefined;
    }
  }
}

/** All that an answer depends on. */
interface Asked extends PlayedBuild {
  readonly source: Source;
  /** Full scale of a file; undefined for other sources. */
  readonly fileVolts: number | undefined;
  /** Ends of a riff; undefined for other sources, and until it has been loaded. */
  readonly startFrame: number | undefined;
  readonly endFrame: number | undefined;
  readonly factor: LiveFactor;
  readonly sampleRateHz: number;
}

/** An answer, and what was asked. */
interface Found {
  readonly asked: Asked;
  readonly warning: string | undefined;
}

function isSame(one: Asked | undefined, other: Asked): boolean {
  const names = Object.keys(other) as (keyof Asked)[];
  return one !== undefined && names.every((name) => one[name] === other[name]);
}
