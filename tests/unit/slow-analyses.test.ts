import { describe, expect, it } from 'vitest';
import type { Unity } from '../../engine/analysis/unity.ts';
import type { HeardPops, Query } from '../../ui/plots/plot-analysis.ts';
import { SlowAnalyses } from '../../ui/slow-analyses.ts';
import type { Action, BenchState } from '../../ui/state/bench-state.ts';
import { reduce } from '../../ui/state/reduce.ts';
import { freshState } from '../../ui/state/starting-state.ts';
import { presetBuild } from '../preset-build.ts';

const RATE_HZ = 48_000;
const soft = presetBuild('soft-plain');
const UNITY: Unity = { rotation: 0.5, headroomDb: 6 };
const POPS = { pops: { on: {}, bypassed: {} } } as HeardPops;

const stateAfter = (state: BenchState, ...actions: readonly Action[]): BenchState =>
  actions.reduce(reduce, state);
const fresh = freshState({ a: soft, b: presetBuild('soft-led') });
const chain = stateAfter(fresh, {
  type: 'addPedal',
  slot: 'a',
  index: 1,
  build: presetBuild('clean-midlift'),
});

/** An analyser that answers all at once, or nothing until it is stopped. */
class FakeAnalyser {
  readonly asked: Query[] = [];
  stops = 0;
  readonly #ends: (() => void)[] = [];
  readonly #isSlow: boolean;

  constructor(isSlow = false) {
    this.#isSlow = isSlow;
  }

  // biome-ignore lint/suspicious/noExplicitAny: any kind of query is answered.
  readonly ask = (_: string, query: any): Promise<any> => {
    this.asked.push(query);
    if (this.#isSlow) return new Promise((resolve) => this.#ends.push(() => resolve(undefined)));
    return Promise.resolve({ kind: 'result', result: query.kind === 'unity' ? UNITY : POPS });
  };

  stop(): void {
    this.stops++;
    for (const end of this.#ends) end();
  }
}

async function foundOn(state: BenchState): Promise<SlowAnalyses> {
  const slow = new SlowAnalyses();
  slow.find(state, RATE_HZ, new FakeAnalyser(), () => undefined);
  await new Promise((done) => setTimeout(done));
  return slow;
}

describe('unity and pops of the bench', () => {
  it('show the mark only for the bench for which it was found', async () => {
    const slow = await foundOn(fresh);
    expect(slow.unity(fresh)).toEqual({ a: UNITY, b: UNITY });
    const changes: readonly Action[] = [
      { type: 'addPedal', slot: 'a', index: 1, build: soft },
      { type: 'turnKnob', slot: 'a', name: 'gain', rotation: 0.9 },
      { type: 'load', slot: 'a', build: presetBuild('clean-midlift') },
    ];
    for (const change of changes) expect(slow.unity(stateAfter(fresh, change)).a).toBeUndefined();
    const looked = stateAfter(chain, { type: 'look', slot: 'a', index: 0 });
    expect((await foundOn(chain)).unity(looked).a).toBeUndefined();
  });

  it('say while the mark of a bench is being looked for', async () => {
    const slow = new SlowAnalyses();
    const isFinding = (state: BenchState) => [slow.isFinding(state, 'a'), slow.isFinding(state, 'b')];
    expect(isFinding(chain)).toEqual([false, false]);
    slow.find(chain, RATE_HZ, new FakeAnalyser(true), () => undefined);
    expect(isFinding(chain)).toEqual([true, true]);
    const found = await foundOn(chain);
    const turned = stateAfter(chain, {
      type: 'turnKnob',
      slot: 'b',
      name: 'gain',
      rotation: 0.9,
      isAlone: true,
    });
    expect(found.isFinding(chain, 'a')).toBe(false);
    expect([found.isFinding(turned, 'a'), found.isFinding(turned, 'b')]).toEqual([false, true]);
  });

  it('keep the mark while the output knob is turned, the pedal is switched or its title is changed', async () => {
    const slow = await foundOn(chain);
    const level = chain.builds.a.circuit.roles.level;
    const changes: readonly Action[] = [
      { type: 'turnKnob', slot: 'a', name: level, rotation: 0.123 },
      { type: 'switchPedal', slot: 'a', index: 1, isOn: false },
      { type: 'rename', slot: 'a', title: 'Mine' },
    ];
    for (const change of changes) expect(slow.unity(stateAfter(chain, change)).a).toBe(UNITY);
  });

  it('know the pop of every pedal that is heard, whichever is looked at', async () => {
    const slow = await foundOn(chain);
    const looked = stateAfter(chain, { type: 'look', slot: 'a', index: 0 });
    for (const index of [0, 1]) expect(slow.heardPops(looked, RATE_HZ, { slot: 'a', index })).toBe(POPS);
    expect(slow.heardPops(looked, 44_100, { slot: 'a', index: 0 })).toBeUndefined();
    // Another pedal's switch decides what is around the first.
    const switched = stateAfter(chain, { type: 'switchPedal', slot: 'a', index: 1, isOn: false });
    expect(slow.heardPops(switched, RATE_HZ, { slot: 'a', index: 1 })).toBe(POPS);
    expect(slow.heardPops(switched, RATE_HZ, { slot: 'a', index: 0 })).toBeUndefined();
  });

  it('end what is computed for an earlier state of the bench, and nothing else', async () => {
    const slow = new SlowAnalyses();
    const analyser = new FakeAnalyser(true);
    slow.find(fresh, RATE_HZ, analyser, () => undefined);
    const { length } = analyser.asked;
    slow.find(stateAfter(fresh, { type: 'probe', net: 'clipped' }), RATE_HZ, analyser, () => undefined);
    expect([analyser.stops, analyser.asked.length]).toEqual([0, length]);
    slow.find(chain, RATE_HZ, analyser, () => undefined);
    expect(analyser.stops).toBe(1);
    expect(analyser.asked.slice(length).filter(({ kind }) => kind === 'unity')).toHaveLength(2);
  });
});
