import type { ReactiveController, ReactiveControllerHost } from 'lit';
import type { BuildWarning } from '../engine/analysis/build-warnings.ts';
import type { Pops } from '../engine/analysis/pop.ts';
import type { Unity } from '../engine/analysis/unity.ts';
import type { Slot } from '../worklets/bench-messages.ts';
import { NO_WARNINGS, PedalWarnings } from './pedal-warnings.ts';
import type { Analyser } from './plots/analyser.ts';
import type { HeardPops } from './plots/plot-analysis.ts';
import { SlowAnalyses } from './slow-analyses.ts';
import type { BenchState } from './state/bench-state.ts';
import { allPedals, pedalName } from './state/chains.ts';

/** Unity and pops take a second or more to compute: they wait until nothing has changed for this time. */
const REST_MS = 700;

/**
 * Analyses of the builds in workers: the plots' analyser, warnings, and, in a worker of their own so that nothing waits for
 * them, the unity position of the output knobs and the pops. Loaded with the plots, once the bench is on the screen.
 */
export class BenchAnalysis implements ReactiveController {
  readonly #host: ReactiveControllerHost;
  readonly #bench: () => BenchState;
  readonly #sampleRateHz: () => number;
  #analyser: Analyser | undefined;
  #startSlow: (() => Analyser) | undefined;
  /** Started when it is first needed. */
  #slowAnalyser: Analyser | undefined;
  #trouble: string | undefined;
  readonly #warnings = new PedalWarnings();
  #looked: Readonly<Record<Slot, readonly BuildWarning[]>> = { a: NO_WARNINGS, b: NO_WARNINGS };
  readonly #slow = new SlowAnalyses();
  #slowShown: SlowShown | undefined;
  #checkedHz = 0;
  #restTimer = 0;
  #isConnected = false;

  /** @param sampleRateHz Rate at which pops are heard. */
  constructor(host: ReactiveControllerHost, bench: () => BenchState, sampleRateHz: () => number) {
    this.#host = host;
    this.#bench = bench;
    this.#sampleRateHz = sampleRateHz;
    host.addController(this);
  }

  /** Undefined until it has been loaded. */
  get analyser(): Analyser | undefined {
    return this.#analyser;
  }

  /** Why there is no analyser, if it cannot be loaded. */
  get trouble(): string | undefined {
    return this.#trouble;
  }

  /** Warnings of each build that is looked at; one object while they stay the same. */
  get warnings(): Readonly<Record<Slot, readonly BuildWarning[]>> {
    const { builds } = this.#bench();
    const looked = { a: this.#warnings.of(builds.a), b: this.#warnings.of(builds.b) };
    if (looked.a !== this.#looked.a || looked.b !== this.#looked.b) this.#looked = looked;
    return this.#looked;
  }

  /** Those of every pedal, each after the pedal's name. */
  get allWarnings(): readonly string[] {
    const bench = this.#bench();
    return allPedals(bench).flatMap(({ slot, index, pedal }) => {
      const name = pedalName(bench.places, slot, index);
      return this.#warnings.of(pedal.build).map(({ message }) => `${name}: ${message}`);
    });
  }

  /** Where the output knob of each build is as loud as its bypass; undefined until it is computed for the bench as it is. */
  get unity(): Readonly<Record<Slot, Unity | undefined>> {
    return this.#shown().unity;
  }

  /** Builds of which that is being looked for: half a second for a pedal alone, several in a chain. */
  get isFindingUnity(): Readonly<Record<Slot, boolean>> {
    return this.#shown().isFindingUnity;
  }

  /** What the footswitch of a pedal does; undefined until it is computed, and for a circuit without a footswitch. */
  heardPops(slot: Slot, index: number): HeardPops | undefined {
    return this.#slow.heardPops(this.#bench(), this.#sampleRateHz(), { slot, index });
  }

  /** The same of the pedals that are looked at, to be read; one object while nothing changes. */
  get pops(): Readonly<Record<Slot, Pops | undefined>> {
    return this.#shown().pops;
  }

  hostConnected(): void {
    this.#isConnected = true;
    requestAnimationFrame(() => setTimeout(() => void this.#load()));
  }

  hostDisconnected(): void {
    this.#isConnected = false;
    this.#analyser?.close();
    this.#slowAnalyser?.close();
    this.#analyser = undefined;
    this.#startSlow = undefined;
    this.#slowAnalyser = undefined;
    clearTimeout(this.#restTimer);
  }

  /** Checks changed builds, or all after a change of temperature. */
  check(): void {
    this.#checkedHz = this.#sampleRateHz();
    const analyser = this.#analyser;
    if (analyser) this.#checkWarnings(analyser);
    clearTimeout(this.#restTimer);
    this.#restTimer = window.setTimeout(() => this.#findSlow(), REST_MS);
  }

  /** Checks anew if the sample rate has changed, at which pops are heard. */
  followRate(): void {
    if (this.#sampleRateHz() !== this.#checkedHz) this.check();
  }

  async #load(): Promise<void> {
    try {
      const [{ Analyser }] = await Promise.all([
        import('./plots/analyser.ts'),
        import('./components/plots/plots-panel.ts'),
      ]);
      if (!this.#isConnected || this.#analyser) return;
      this.#analyser = new Analyser();
      this.#startSlow = () => new Analyser();
    } catch {
      // A module that does not load gives a TypeError; a missing or forbidden Worker any kind of error.
      this.#trouble =
        typeof Worker === 'function'
          ? 'Plots and warnings could not be loaded. Reload the page.'
          : 'There are no plots and no warnings: this browser runs no workers.';
    }
    this.check();
    this.#host.requestUpdate();
  }

  /** The page is drawn more often than the bench changes, and to compare queries takes some of a drawing's time. */
  #shown(): SlowShown {
    const [bench, sampleRateHz] = [this.#bench(), this.#sampleRateHz()];
    const shown = this.#slowShown;
    if (shown?.bench === bench && shown.sampleRateHz === sampleRateHz) return shown;
    const unity = this.#slow.unity(bench);
    const pops = this.#slow.pops(bench, sampleRateHz);
    const isFindingUnity = { a: this.#slow.isFinding(bench, 'a'), b: this.#slow.isFinding(bench, 'b') };
    this.#slowShown = { bench, sampleRateHz, unity, isFindingUnity, pops };
    return this.#slowShown;
  }

  #checkWarnings(analyser: Analyser): void {
    const bench = this.#bench();
    const builds = allPedals(bench).map(({ pedal }) => pedal.build);
    this.#warnings.check(builds, bench.temperatureC, analyser, () => this.#host.requestUpdate());
  }

  #findSlow(): void {
    this.#slowAnalyser ??= this.#startSlow?.();
    if (!this.#slowAnalyser) return;
    const changed = () => {
      this.#slowShown = undefined;
      this.#host.requestUpdate();
    };
    this.#slow.find(this.#bench(), this.#sampleRateHz(), this.#slowAnalyser, changed);
    changed();
  }
}

/** What is known of one state of the bench. */
interface SlowShown {
  readonly bench: BenchState;
  readonly sampleRateHz: number;
  readonly unity: Readonly<Record<Slot, Unity | undefined>>;
  readonly isFindingUnity: Readonly<Record<Slot, boolean>>;
  readonly pops: Readonly<Record<Slot, Pops | undefined>>;
}
