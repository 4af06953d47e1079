import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import type { AccuracyPlan } from '../../ui/ear/ear-jobs.ts';
import { SolverWatch, type WatchedBench } from '../../ui/solver-watch.ts';
import { presetBuild } from '../preset-build.ts';

const good = presetBuild('soft-plain');
const bad = presetBuild('soft-led');
const source = { kind: 'string' } as unknown as ReturnType<WatchedBench['state']>['source'];

/** A bench whose builds can be exchanged, and what the watch has asked of it. */
function benchWith({ isListening = true } = {}) {
  const state = { builds: { a: good, b: bad }, temperatureC: 27, source, isListening };
  const asked: AccuracyPlan[] = [];
  let factor: 8 | 16 = 8;
  const host = { addController: () => {}, removeController: () => {}, requestUpdate: vi.fn() };
  const watch = new SolverWatch(
    { ...host, updateComplete: Promise.resolve(true) },
    {
      state: () => state,
      factor: () => factor,
      excerpts: async () => ({ excerptsV: [new Float64Array(8)], sampleRateHz: 48_000 }),
      judge: async (plan) => {
        asked.push(plan);
        return plan.build === bad && plan.factor === 8 ? 'The solver may be off.' : undefined;
      },
    },
  );
  const setFactor = (next: 8 | 16) => {
    factor = next;
  };
  return { state, asked, watch, setFactor, host };
}

describe('the watch over the solver', () => {
  beforeEach(() => void vi.useFakeTimers());
  afterEach(() => void vi.useRealTimers());

  it('says of each build what its error is, once nothing has changed for a while', async () => {
    const { watch, asked, host } = benchWith();
    watch.check();
    expect(watch.warnings).toEqual({ a: undefined, b: undefined });
    await vi.runAllTimersAsync();
    expect(watch.warnings).toEqual({ a: undefined, b: 'The solver may be off.' });
    expect(host.requestUpdate).toHaveBeenCalled();
    expect(asked).toHaveLength(2);
  });

  it('asks again only for what has changed: a build, or the rate', async () => {
    const { watch, asked, state, setFactor } = benchWith();
    watch.check();
    await vi.runAllTimersAsync();
    watch.check();
    await vi.runAllTimersAsync();
    expect(asked).toHaveLength(2);
    state.builds = { a: bad, b: bad };
    watch.check();
    await vi.runAllTimersAsync();
    expect(asked.slice(2).map(({ build }) => build)).toEqual([bad]);
    setFactor(16);
    watch.check();
    await vi.runAllTimersAsync();
    expect(asked.slice(3).map((plan) => plan.factor)).toEqual([16, 16]);
    expect(watch.warnings).toEqual({ a: undefined, b: undefined });
  });

  it('is still while nothing is heard', async () => {
    const { watch, asked } = benchWith({ isListening: false });
    watch.check();
    await vi.runAllTimersAsync();
    expect(asked).toEqual([]);
  });
});
