import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { USUAL_OUTPUT_LOAD } from '../../engine/builds/output-load.ts';
import { Refusal } from '../../engine/input/refusal.ts';
import type { AccuracyPlan } from '../../ui/ear/ear-jobs.ts';
import { SolverWatch, type WatchedBench } from '../../ui/solver-watch.ts';
import type { Riff } from '../../ui/state/ear-state.ts';
import { freshState } from '../../ui/state/starting-state.ts';
import { presetBuild } from '../preset-build.ts';

const good = presetBuild('soft-plain');
const bad = presetBuild('soft-led');
type Watched = ReturnType<WatchedBench['state']>;
const FILE: Watched['source'] = { kind: 'file', file: new File([], 'a.wav') };
const RIFF: Watched['source'] = { kind: 'riff', id: 'r' };
const PICKUP = freshState({ a: good, b: bad }).guitar.instrument;

/** A riff with these ends. */
function riffTo(endFrame: number): Riff {
  const samples = new Float32Array(48);
  return { id: 'r', name: '', sampleRateHz: 48_000, samples, clips: 0, startFrame: 0, endFrame };
}

/** A bench whose builds can be replaced, and a record of the watch's requests. */
function benchWith({ isListening = true } = {}) {
  const state: { -readonly [Name in keyof Watched]: Watched[Name] } = {
    ...freshState({ a: good, b: bad }),
    source: { kind: 'string' },
    isListening,
  };
  const asked: AccuracyPlan[] = [];
  const judging = {
    count: 0,
    wait: Promise.resolve(),
    refuses: (_: AccuracyPlan): Refusal | undefined => undefined,
  };
  const rate: { factor: 8 | 16; sampleRateHz: number } = { factor: 8, sampleRateHz: 48_000 };
  const host = { addController: () => {}, removeController: () => {}, requestUpdate: vi.fn() };
  const watch = new SolverWatch(
    { ...host, updateComplete: Promise.resolve(true) },
    {
      state: () => state,
      rate: () => rate,
      excerpts: async () => ({ excerptsV: [new Float64Array(8)], sampleRateHz: 48_000 }),
      judge: async (plan) => {
        asked.push(plan);
        judging.count++;
        await judging.wait;
        const refusal = judging.refuses(plan);
        if (refusal) throw refusal;
        return plan.played.build === bad && plan.factor === 8 ? 'The solver may be off.' : undefined;
      },
    },
  );
  return { state, asked, judging, watch, rate, host };
}

describe('the watch on the solver’s error', () => {
  beforeEach(() => void vi.useFakeTimers());
  afterEach(() => void vi.useRealTimers());

  it('reports the error of each build, after a time without changes', async () => {
    const { watch, asked, host } = benchWith();
    watch.check();
    expect(watch.warnings).toEqual({ a: undefined, b: undefined });
    await vi.runAllTimersAsync();
    expect(watch.warnings).toEqual({ a: undefined, b: 'The solver may be off.' });
    expect(host.requestUpdate).toHaveBeenCalled();
    expect(asked).toHaveLength(2);
  });

  it('asks again only for what has changed: a build, or the rate', async () => {
    const { watch, asked, state, rate } = benchWith();
    watch.check();
    await vi.runAllTimersAsync();
    watch.check();
    await vi.runAllTimersAsync();
    expect(asked).toHaveLength(2);
    state.builds = { a: bad, b: bad };
    watch.check();
    await vi.runAllTimersAsync();
    expect(asked.slice(2).map(({ played }) => played.build)).toEqual([bad]);
    rate.factor = 16;
    watch.check();
    await vi.runAllTimersAsync();
    expect(asked.slice(3).map((plan) => plan.factor)).toEqual([16, 16]);
    expect(watch.warnings).toEqual({ a: undefined, b: undefined });
  });

  it('looks again after the output was opened at another rate', async () => {
    const { watch, asked, rate } = benchWith();
    watch.check();
    await vi.runAllTimersAsync();
    rate.sampleRateHz = 44_100;
    expect(watch.warnings.b).toBeUndefined();
    watch.check();
    await vi.runAllTimersAsync();
    expect(asked).toHaveLength(4);
    expect(watch.warnings.b).toBeDefined();
  });

  it('judges one build where the other is refused, whichever it is', async () => {
    const { watch, state, judging } = benchWith();
    judging.refuses = ({ played }) =>
      played.build === good ? new Refusal('rest-state', 'no operating point') : undefined;
    watch.check();
    await vi.runAllTimersAsync();
    expect(watch.warnings).toEqual({ a: undefined, b: 'The solver may be off.' });
    state.builds = { a: bad, b: good };
    watch.check();
    await vi.runAllTimersAsync();
    expect(watch.warnings).toEqual({ a: 'The solver may be off.', b: undefined });
    expect(watch.isDone).toBe(true);
  });

  it('says that nothing is known where the worker fails', async () => {
    const { watch, judging } = benchWith();
    judging.refuses = () => new Refusal('worker', 'The computation failed. Reload the page.');
    watch.check();
    await vi.runAllTimersAsync();
    expect(watch.warnings.a).toBe(
      "The solver's error is not known. The computation failed. Reload the page.",
    );
  });

  it('says of a live input that it was not judged itself', async () => {
    const { watch, state } = benchWith();
    state.source = { kind: 'live', deviceId: 'x', channel: 0 };
    watch.check();
    await vi.runAllTimersAsync();
    expect(watch.warnings.b).toMatch(/^The solver may be off\. Computed for plucked notes/);
  });

  it('tells when its warnings are those of what plays, for the start of a blind test', async () => {
    const { watch, state } = benchWith();
    expect(watch.isDone).toBe(false);
    watch.check();
    await vi.runAllTimersAsync();
    expect(watch.isDone).toBe(true);
    state.builds = { a: bad, b: bad };
    expect(watch.isDone).toBe(false);
  });

  it('does nothing while there is no sound', async () => {
    const { watch, asked } = benchWith({ isListening: false });
    watch.check();
    await vi.runAllTimersAsync();
    expect(asked).toEqual([]);
  });

  it('keeps a warning to what it was found of: other sides, and another build while nothing is heard', async () => {
    const { watch, state } = benchWith();
    watch.check();
    await vi.runAllTimersAsync();
    state.builds = { a: bad, b: good };
    expect(watch.warnings).toEqual({ a: undefined, b: undefined });
    state.builds = { a: good, b: bad };
    expect(watch.warnings.b).toBeDefined();
    state.isListening = false;
    expect(watch.warnings.b).toBeDefined();
    state.builds = { a: good, b: good };
    watch.check();
    await vi.runAllTimersAsync();
    expect(watch.warnings.b).toBeUndefined();
  });

  it.each<[what: string, before: Partial<Watched>, after: Partial<Watched>]>([
    ['the level of a file', { source: FILE }, { calibration: { volts: 2 } }],
    ['the ends of a riff', { source: RIFF, ear: { riffs: [riffTo(9)] } }, { ear: { riffs: [riffTo(8)] } }],
    ['a riff that has been loaded', { source: RIFF }, { ear: { riffs: [riffTo(9)] } }],
    ['the bypass', {}, { isBypassed: true }],
    ['pickup and cable', {}, { guitar: { isOn: true, instrument: PICKUP } }],
    ['what follows the pedal', {}, { after: { isOn: true, load: USUAL_OUTPUT_LOAD } }],
  ])('looks again after a change of %s', async (_, before, after) => {
    const { watch, asked, state } = benchWith();
    Object.assign(state, before);
    watch.check();
    await vi.runAllTimersAsync();
    Object.assign(state, after);
    expect(watch.warnings.b).toBeUndefined();
    watch.check();
    await vi.runAllTimersAsync();
    expect(asked).toHaveLength(4);
    const { isBypassed, instrument, load } = asked[3]!.played;
    expect({ isBypassed, instrument, load }).toEqual({
      isBypassed: state.isBypassed,
      instrument: state.guitar.isOn ? PICKUP : undefined,
      load: state.after.isOn ? USUAL_OUTPUT_LOAD : undefined,
    });
  });

  it('judges no more of what was asked before, once something else has been asked', async () => {
    const { watch, state, judging } = benchWith();
    let answerFirst = () => {};
    judging.wait = new Promise((resolve) => {
      answerFirst = resolve;
    });
    watch.check();
    await vi.runAllTimersAsync();
    judging.wait = Promise.resolve();
    state.temperatureC = 30;
    watch.check();
    await vi.runAllTimersAsync();
    expect(judging.count).toBe(3);
    answerFirst();
    await vi.runAllTimersAsync();
    expect(judging.count).toBe(3);
    expect(watch.warnings.b).toBeDefined();
  });
});
