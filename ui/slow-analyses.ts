import type { Pops } from '../engine/analysis/pop.ts';
import type { Unity } from '../engine/analysis/unity.ts';
import type { Build } from '../engine/builds/build.ts';
import { placeIn } from '../engine/builds/chain.ts';
import { SLOTS, type Slot } from '../worklets/bench-messages.ts';
import { dataText } from './data-text.ts';
import type { Analyser } from './plots/analyser.ts';
import type { Analyses, HeardPops, Query } from './plots/plot-analysis.ts';
import type { BenchState } from './state/bench-state.ts';
import { indexIn, pedalsOf } from './state/chains.ts';
import { surroundings } from './state/played-network.ts';

/** The part of the analyser that is used. */
type Asked = Pick<Analyser, 'ask' | 'stop'>;
type Kind = 'unity' | 'pop';
type QueryOf<K extends Kind> = Extract<Query, { readonly kind: K }>;

/** An answer, and the text of its query: it is shown only as long as the same would be asked. */
interface Found<K extends Kind> {
  readonly text: string;
  readonly result: Analyses[K] | undefined;
}

/** Unity of the output knobs and pops of the footswitches: a second for a pedal alone, several for a chain. */
export class SlowAnalyses {
  readonly #unities = new Map<string, Found<'unity'>>();
  readonly #pops = new Map<string, Found<'pop'>>();
  #unity: Readonly<Record<Slot, Unity | undefined>> = { a: undefined, b: undefined };
  #read: Readonly<Record<Slot, Pops | undefined>> = { a: undefined, b: undefined };
  /** What was last asked for, and how much of it is not answered. */
  #asked = '';
  #missing = 0;

  /** Where the output knob of each build is as loud as its bypass; one object while nothing changes. */
  unity(bench: BenchState): Readonly<Record<Slot, Unity | undefined>> {
    const of = (slot: Slot) => current(this.#unities.get(slot), unityQuery(bench, slot));
    const unity = { a: of('a'), b: of('b') };
    if (unity.a !== this.#unity.a || unity.b !== this.#unity.b) this.#unity = unity;
    return this.#unity;
  }

  /** Whether the mark of a build is being looked for. */
  isFinding(bench: BenchState, slot: Slot): boolean {
    return this.#asked !== '' && this.#unities.get(slot)?.text !== dataText(unityQuery(bench, slot));
  }

  /** What the footswitch of a pedal does, as it is to be heard; undefined until it is computed, or without a footswitch. */
  heardPops(bench: BenchState, sampleRateHz: number, pedal: PedalAt): HeardPops | undefined {
    return current(this.#pops.get(nameOf(pedal)), popQuery(bench, sampleRateHz, pedal));
  }

  /** The same of the pedals that are looked at, to be read; one object while nothing changes. */
  pops(bench: BenchState, sampleRateHz: number): Readonly<Record<Slot, Pops | undefined>> {
    const of = (slot: Slot) =>
      this.heardPops(bench, sampleRateHz, { slot, index: indexIn(bench.places[slot]) })?.pops;
    const pops = { a: of('a'), b: of('b') };
    if (pops.a !== this.#read.a || pops.b !== this.#read.b) this.#read = pops;
    return this.#read;
  }

  /**
   * Computes what is not known. What is still being computed for an earlier state of the bench is ended.
   *
   * @param found Called when something has been found.
   */
  find(bench: BenchState, sampleRateHz: number, analyser: Asked, found: () => void): void {
    const unities = SLOTS.map((slot) => ({ name: slot, query: unityQuery(bench, slot) }));
    const pops = switchedPedals(bench).map((pedal) => ({
      name: nameOf(pedal),
      query: popQuery(bench, sampleRateHz, pedal),
    }));
    const asked = dataText([unities, pops]);
    if (asked === this.#asked && this.#missing > 0) return;
    if (this.#missing > 0) analyser.stop();
    this.#asked = asked;
    const asking = { analyser, found };
    for (const { name, query } of unities) void this.#ask(this.#unities, name, query, asking);
    for (const { name, query } of pops) void this.#ask(this.#pops, name, query, asking);
  }

  async #ask<K extends Kind>(
    all: Map<string, Found<K>>,
    name: string,
    query: QueryOf<K>,
    { analyser, found }: { readonly analyser: Asked; readonly found: () => void },
  ): Promise<void> {
    const text = dataText(query);
    if (all.get(name)?.text === text) return;
    this.#missing++;
    const answer = await analyser.ask<K>(name, query);
    this.#missing--;
    if (!answer) return;
    all.set(name, { text, result: answer.kind === 'result' ? answer.result : undefined });
    found();
  }
}

/** A pedal, counted from 0. */
export interface PedalAt {
  readonly slot: Slot;
  readonly index: number;
}

function current<K extends Kind>(found: Found<K> | undefined, query: QueryOf<K>): Analyses[K] | undefined {
  return found?.text === dataText(query) ? found.result : undefined;
}

function nameOf({ slot, index }: PedalAt): string {
  return `${slot} pedal ${index}`;
}

/** Those that are looked at, and all that are heard, whose switches are at hand. */
function switchedPedals(bench: BenchState): readonly PedalAt[] {
  const looked = SLOTS.map((slot) => ({ slot, index: indexIn(bench.places[slot]) }));
  const slot = bench.heard;
  const others = pedalsOf(bench, slot).flatMap((_, index) =>
    index === indexIn(bench.places[slot]) ? [] : [{ slot, index }],
  );
  return [...looked, ...others];
}

function popQuery(bench: BenchState, sampleRateHz: number, { slot, index }: PedalAt): QueryOf<'pop'> {
  const pedals = pedalsOf(bench, slot);
  const { temperatureC } = bench;
  const ends = surroundings(bench, slot);
  // Where its switch is makes no difference to what it does.
  const chain = ends.chain && { ...placeIn({ pedals }, index), isOn: true };
  return { kind: 'pop', build: pedals[index]!.build, temperatureC, around: { ...ends, chain }, sampleRateHz };
}

function unityQuery(bench: BenchState, slot: Slot): QueryOf<'unity'> {
  const { builds, temperatureC, hasStandIn } = bench;
  const { chain, ...ends } = surroundings(bench, slot);
  // It is compared with its own bypass, wherever its switch is.
  const around = { ...ends, chain: chain && { ...chain, isOn: true } };
  return { kind: 'unity', build: audibleBuild(builds[slot]), temperatureC, hasStandIn, around };
}

const audibleBuilds = new WeakMap<Build, Build>();

/** A build without inaudible fields (title, notes, groups, output knob), so that a known answer is found again. */
function audibleBuild(build: Build): Build {
  const { aliases: _, groups: __, ...heard } = build;
  const level = build.circuit.roles.level;
  const audible = audibleBuilds.get(build) ?? {
    ...heard,
    title: '',
    notes: '',
    knobs: { ...build.knobs, [level]: 1 },
  };
  audibleBuilds.set(build, audible);
  return audible;
}
