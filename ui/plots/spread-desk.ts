import type { ClippingSpread } from '../../engine/analysis/spread-clipping.ts';
import {
  type AskSpread,
  type SpreadReport,
  spreadBuilds,
  USUAL_CLIPPING_COUNT,
  USUAL_COUNT,
  warmUpTask,
} from '../../engine/analysis/spread-report.ts';
import { asPrinted, type SpreadSettings, withSet } from '../../engine/analysis/spread-settings.ts';
import type { SpreadSummary } from '../../engine/analysis/spread-summary.ts';
import { type Chain, chainWith, LONE } from '../../engine/builds/chain.ts';
import { type Tolerances, USUAL_SEED } from '../../engine/builds/parts-set.ts';
import { kelvinOf } from '../../engine/network/temperature.ts';
import { SLOTS, type Slot } from '../../worklets/bench-messages.ts';
import { dataText } from '../data-text.ts';
import { EarPool, renderProblem } from '../ear/ear-pool.ts';
import type { BenchState } from '../state/bench-state.ts';
import { chainHeard, surroundings } from '../state/played-network.ts';
import type { Pair } from './known.ts';

/** What is chosen for a run, beside the build. */
export interface SpreadChoice {
  readonly tolerances: Tolerances;
  /** °C; undefined for the temperature of the bench. */
  readonly range: { readonly lowC: number; readonly highC: number } | undefined;
}

/** A report, and what it is of. */
interface Kept {
  readonly text: string;
  readonly otherText: string;
  readonly report: SpreadReport;
}

interface Workers {
  readonly pool: EarPool;
  readonly isBesideSound: boolean;
}

/** Computes the spread of a build in workers, and keeps the last ones. Emits `change`. */
export class SpreadDesk extends EventTarget {
  choice: SpreadChoice = { tolerances: {}, range: undefined };
  problem = '';
  readonly #kept: Kept[] = [];
  #pool: EarPool | undefined;
  /** Workers that wait for a run. */
  #ready: Workers | undefined;
  /** Whether another run may follow. */
  #isWanted = false;
  /** Of the present bench, whose texts are long. */
  #texts:
    | { readonly state: BenchState; readonly choice: SpreadChoice; readonly of: Record<Slot, string> }
    | undefined;

  get isRunning(): boolean {
    return this.#pool !== undefined;
  }

  choose(choice: SpreadChoice): void {
    this.choice = choice;
    this.#tell();
  }

  /** What is known of a build as it is now, with the present choices. */
  reportOf(state: BenchState, slot: Slot): SpreadReport | undefined {
    const texts = this.#textsOf(state);
    const kept = this.#kept.find(({ text }) => text === texts[slot]);
    if (!kept) return undefined;
    const isSame = kept.otherText === texts[slot === 'a' ? 'b' : 'a'];
    return isSame ? kept.report : withoutOther(kept.report);
  }

  /** Bands for the plot of the response at the output. */
  bands(state: BenchState): Pair<SpreadSummary> {
    if (this.#kept.length === 0 || state.isBypassed || state.probe !== undefined)
      return { a: undefined, b: undefined };
    return { a: this.reportOf(state, 'a')?.summary, b: this.reportOf(state, 'b')?.summary };
  }

  /** Where builds clip from, for the clipping curve; at a probed net too, since it is a voltage of the input. */
  clippingBands(state: BenchState): Pair<ClippingSpread> {
    if (this.#kept.length === 0 || state.isBypassed) return { a: undefined, b: undefined };
    const of = (slot: Slot) => {
      const clipping = this.reportOf(state, slot)?.clipping;
      // A band of a few would be no band of builds.
      return clipping && 2 * clipping.found > clipping.tried ? clipping : undefined;
    };
    return { a: of('a'), b: of('b') };
  }

  /** Starts workers for the next run and lets them practise on a side, while somebody looks at the choices. */
  prepare(state: BenchState, slot: Slot): void {
    this.#isWanted = true;
    const { pool } = this.#hired(state);
    const task = warmUpTask(this.#settings(state, slot));
    // A build that is refused is told about when it is computed.
    for (let worker = 0; worker < pool.size; worker++)
      pool.run({ kind: 'spread', task }).catch((error: unknown) => renderProblem(error));
  }

  /** Ends the workers that wait for a run, now or when the run has ended. */
  release(): void {
    this.#isWanted = false;
    this.#ready?.pool.close();
    this.#ready = undefined;
  }

  #hired({ isListening: isBesideSound }: BenchState): Workers {
    if (this.#ready?.isBesideSound !== isBesideSound) {
      this.#ready?.pool.close();
      // While sound plays one core is left to it.
      const pool = new EarPool(isBesideSound ? undefined : Math.max(2, navigator.hardwareConcurrency || 2));
      this.#ready = { pool, isBesideSound };
    }
    return this.#ready;
  }

  /** Computes the spread of one side; the other is the build after the swap. Takes the place of a run before it. */
  async run(state: BenchState, slot: Slot): Promise<void> {
    this.cancel();
    const texts = this.#textsOf(state);
    const [settings, other] = [slot, slot === 'a' ? 'b' : 'a'].map((each) =>
      this.#settings(state, each as Slot),
    ) as [SpreadSettings, SpreadSettings];
    const otherText = texts[slot === 'a' ? 'b' : 'a'];
    const workers = this.#hired(state);
    const { pool } = workers;
    this.#ready = undefined;
    this.#pool = pool;
    this.problem = '';
    const ask: AskSpread = async (task) => (await pool.run({ kind: 'spread', task })) as never;
    const plan = {
      settings,
      ...(otherText !== texts[slot] && { other }),
      count: USUAL_COUNT,
      clippingCount: USUAL_CLIPPING_COUNT,
    };
    const onChange = (report: SpreadReport) => {
      if (this.#pool === pool) this.#keep({ text: texts[slot], otherText, report });
    };
    this.#tell();
    try {
      await spreadBuilds(plan, { ask, nowMs: () => performance.now(), onChange });
    } catch (error) {
      if (this.#pool === pool) this.problem = renderProblem(error);
      else renderProblem(error);
    } finally {
      if (this.#pool === pool) {
        this.#pool = undefined;
        // They are quicker than new ones.
        if (this.#isWanted) this.#ready = workers;
        this.#tell();
      }
      if (this.#ready !== workers) pool.close();
    }
  }

  /** Ends a run; what is known of it stays. */
  cancel(): void {
    this.#pool?.close();
    this.#pool = undefined;
    this.#tell();
  }

  /** The chain of a side with the parts of one set. */
  chainOfSet(state: BenchState, slot: Slot, number: number): Chain {
    return chainOf(withSet(this.#settings(state, slot), number));
  }

  #keep(kept: Kept): void {
    const before = this.#kept.findIndex(({ text }) => text === kept.text);
    if (before >= 0) this.#kept.splice(before, 1);
    this.#kept.push(kept);
    if (this.#kept.length > MOST_KEPT) this.#kept.shift();
    this.#tell();
  }

  #textsOf(state: BenchState): Record<Slot, string> {
    if (this.#texts?.state === state && this.#texts.choice === this.choice) return this.#texts.of;
    const [a, b] = SLOTS.map((slot) => dataText(this.#settings(state, slot)));
    this.#texts = { state, choice: this.choice, of: { a: a!, b: b! } };
    return this.#texts.of;
  }

  #settings(state: BenchState, slot: Slot): SpreadSettings {
    const { tolerances, range } = this.choice;
    const { chain, ...ends } = surroundings(state, slot);
    const { lowC, highC } = range ?? { lowC: state.temperatureC, highC: state.temperatureC };
    return asPrinted({
      build: state.builds[slot],
      around: { ...ends, chain: chainHeard(chain, false) },
      temperatureK: { low: kelvinOf(lowC), high: kelvinOf(highC) },
      seed: USUAL_SEED,
      tolerances,
    });
  }

  #tell(): void {
    this.dispatchEvent(new Event('change'));
  }
}

/** Two sides with some choices. */
const MOST_KEPT = 4;

function chainOf({ build, around }: SpreadSettings): Chain {
  return chainWith(build, around.chain ?? LONE);
}

/** Without what is said of a swap to another build than the one that is there now. */
function withoutOther(report: SpreadReport): SpreadReport {
  return { ...report, start: { ...report.start, other: undefined } };
}
