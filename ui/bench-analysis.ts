import type { ReactiveController, ReactiveControllerHost } from 'lit';
import type { BuildWarning } from '../engine/analysis/build-warnings.ts';
import type { Pops } from '../engine/analysis/pop.ts';
import type { Unity } from '../engine/analysis/unity.ts';
import type { Build } from '../engine/builds/build.ts';
import { SLOTS, type Slot } from '../worklets/bench-messages.ts';
import { dataText } from './data-text.ts';
import type { Analyser } from './plots/analyser.ts';
import type { HeardPops, Query } from './plots/plot-analysis.ts';
import type { BenchState } from './state/bench-state.ts';
import { allPedals, indexIn, pedalName } from './state/chains.ts';
import { surroundings } from './state/played-network.ts';

/** Unity and pops take about a second to compute: they wait until nothing has changed for this time, and pops for all else. */
const REST_MS = 700;

/**
 * Analyses of the builds in a worker: the plots' analyser, warnings, and the unity position of the output knob.
 * Loaded with the plots, once the bench is on the screen.
 */
export class BenchAnalysis implements ReactiveController {
  readonly #host: ReactiveControllerHost;
  readonly #bench: () => BenchState;
  readonly #sampleRateHz: () => number;
  #analyser: Analyser | undefined;
  #trouble: string | undefined;
  /** By the name of a pedal, such as "A, pedal 2"; those of the old build until the new one is checked. */
  readonly #warnings = new Map<string, readonly BuildWarning[]>();
  #looked: Readonly<Record<Slot, readonly BuildWarning[]>> = { a: NONE, b: NONE };
  /** Conditions of the last request for warnings of each pedal. */
  readonly #checked = new Map<string, Checked>();
  #unity: Readonly<Record<Slot, Unity | undefined>> = { a: undefined, b: undefined };
  #pops: Readonly<Partial<Record<Slot, FoundPops>>> = {};
  #read: Readonly<Record<Slot, Pops | undefined>> = { a: undefined, b: undefined };
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
    const { places } = this.#bench();
    const of = (slot: Slot) => this.#warnings.get(pedalName(places, slot, indexIn(places[slot]))) ?? NONE;
    const looked = { a: of('a'), b: of('b') };
    if (looked.a !== this.#looked.a || looked.b !== this.#looked.b) this.#looked = looked;
    return this.#looked;
  }

  /** Those of every pedal, each after the pedal's name. */
  get allWarnings(): readonly string[] {
    const bench = this.#bench();
    return allPedals(bench).flatMap(({ slot, index }) => {
      const name = pedalName(bench.places, slot, index);
      return (this.#warnings.get(name) ?? NONE).map(({ message }) => `${name}: ${message}`);
    });
  }

  /** Where the output knob of each build is as loud as its bypass; of the old build until the new one is computed. */
  get unity(): Readonly<Record<Slot, Unity | undefined>> {
    return this.#unity;
  }

  /** What the footswitch of a build does; undefined until it is computed, and for a circuit without a footswitch. */
  heardPops(slot: Slot): HeardPops | undefined {
    const found = this.#pops[slot];
    return found && isSameQuery(found.query, this.#popQuery(slot)) ? found.result : undefined;
  }

  /** The same to be read; one object while nothing changes. */
  get pops(): Readonly<Record<Slot, Pops | undefined>> {
    const pops = { a: this.heardPops('a')?.pops, b: this.heardPops('b')?.pops };
    if (pops.a !== this.#read.a || pops.b !== this.#read.b) this.#read = pops;
    return this.#read;
  }

  hostConnected(): void {
    this.#isConnected = true;
    requestAnimationFrame(() => setTimeout(() => void this.#load()));
  }

  hostDisconnected(): void {
    this.#isConnected = false;
    this.#analyser?.close();
    this.#analyser = undefined;
    this.#checked.clear();
    clearTimeout(this.#restTimer);
  }

  /** Checks changed builds, or all after a change of temperature. */
  check(): void {
    this.#checkedHz = this.#sampleRateHz();
    const bench = this.#bench();
    const { temperatureC, places } = bench;
    for (const { slot, index, pedal } of allPedals(bench))
      void this.#check(pedalName(places, slot, index), { build: pedal.build, temperatureC });
    clearTimeout(this.#restTimer);
    this.#restTimer = window.setTimeout(() => {
      for (const slot of SLOTS) void this.#findUnity(slot);
      for (const slot of SLOTS) void this.#findPops(slot);
    }, REST_MS);
  }

  /** Checks anew if the sample rate has changed, at which pops are heard. */
  followRate(): void {
    if (this.#sampleRateHz() !== this.#checkedHz) this.check();
  }

  #popQuery(slot: Slot): PopQuery {
    const bench = this.#bench();
    const { builds, temperatureC } = bench;
    const { chain, ...ends } = surroundings(bench, slot);
    // Where its switch is makes no difference to what it does.
    const around = { ...ends, chain: chain && { ...chain, isOn: true } };
    return { kind: 'pop', build: builds[slot], temperatureC, around, sampleRateHz: this.#sampleRateHz() };
  }

  async #findPops(slot: Slot): Promise<void> {
    const query = this.#popQuery(slot);
    const found = this.#pops[slot];
    if (found && isSameQuery(found.query, query)) return;
    const answer = await this.#analyser?.ask(`${slot} pop`, query);
    if (!answer) return;
    const result = answer.kind === 'result' ? answer.result : undefined;
    this.#pops = { ...this.#pops, [slot]: { query, result } };
    this.#host.requestUpdate();
  }

  async #findUnity(slot: Slot): Promise<void> {
    const bench = this.#bench();
    const { builds, temperatureC, hasStandIn } = bench;
    const query = {
      kind: 'unity',
      build: audibleBuild(builds[slot]),
      temperatureC,
      hasStandIn,
      around: surroundings(bench, slot),
    } as const;
    const answer = await this.#analyser?.ask(`${slot} unity`, query);
    if (!answer) return;
    this.#unity = { ...this.#unity, [slot]: answer.kind === 'result' ? answer.result : undefined };
    this.#host.requestUpdate();
  }

  async #load(): Promise<void> {
    try {
      const [{ Analyser }] = await Promise.all([
        import('./plots/analyser.ts'),
        import('./components/plots/plots-panel.ts'),
      ]);
      if (!this.#isConnected || this.#analyser) return;
      this.#analyser = new Analyser();
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

  async #check(name: string, asked: Checked): Promise<void> {
    const before = this.#checked.get(name);
    const isKnown = before?.build === asked.build && before.temperatureC === asked.temperatureC;
    if (!this.#analyser || isKnown) return;
    this.#checked.set(name, asked);
    const answer = await this.#analyser.ask(`${name} warnings`, { kind: 'warnings', ...asked });
    if (!answer || answer.kind === 'none') return;
    const found =
      answer.kind === 'refused' ? [{ ref: '', message: answer.message, source: '' }] : answer.result;
    this.#warnings.set(name, found);
    this.#host.requestUpdate();
  }
}

const NONE: readonly BuildWarning[] = [];

type PopQuery = Extract<Query, { readonly kind: 'pop' }>;

interface FoundPops {
  readonly query: PopQuery;
  readonly result: HeardPops | undefined;
}

function isSameQuery({ build, ...one }: PopQuery, { build: otherBuild, ...other }: PopQuery): boolean {
  return build === otherBuild && dataText(one) === dataText(other);
}

/** Warnings depend on the build and the temperature. */
interface Checked {
  readonly build: Build;
  readonly temperatureC: number;
}

/** A build without inaudible fields (title, notes, groups, output knob), so that a known answer is found again. */
function audibleBuild({ aliases: _, groups: __, ...build }: Build): Build {
  return { ...build, title: '', notes: '', knobs: { ...build.knobs, [build.circuit.roles.level]: 1 } };
}
