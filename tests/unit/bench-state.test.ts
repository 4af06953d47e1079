import { describe, expect, it, onTestFinished, vi } from 'vitest';
import { BenchStore } from '../../ui/state/bench-store.ts';
import { fullScaleVolts } from '../../ui/state/kept-calibrations.ts';
import { reduce } from '../../ui/state/reduce.ts';
import { freshState } from '../../ui/state/starting-state.ts';
import type { Slot } from '../../worklets/bench-messages.ts';
import { presetBuild } from '../preset-build.ts';

const plain = presetBuild('soft-plain');
const led = presetBuild('soft-led');
const clean = presetBuild('clean-plain');

const start = freshState({ a: plain, b: led });

describe('the state of the bench', () => {
  it('sets the probe to the output, to a net, and to the output again', () => {
    const probing = reduce(start, { type: 'probe', net: 'clipped' });
    expect(probing.probe).toBe('clipped');
    expect(probing.builds).toBe(start.builds);
    expect(reduce(probing, { type: 'probe', net: undefined })).toEqual(start);
  });

  it('stops playing the difference of A and B when its view is closed, and not earlier', () => {
    const ear = reduce(start, { type: 'view', view: 'ear' });
    const hearing = reduce(ear, { type: 'ear', change: { difference: { gainDb: 12 } } });
    expect(reduce(hearing, { type: 'view', view: 'ear' }).ear.difference).toEqual({ gainDb: 12 });
    expect(reduce(hearing, { type: 'view', view: 'bench' }).ear.difference).toBeUndefined();
  });

  it('sets a new part in one build and does not change the other build or the old state', () => {
    const after = reduce(start, { type: 'setPart', slot: 'b', ref: 'R4', setting: { value: '2k2' } });
    expect(after.builds.b.parts['R4']).toEqual({ value: '2k2' });
    expect(after.builds.a).toBe(plain);
    expect(start.builds.b).toBe(led);
  });

  it('turns the knobs of both builds while they are linked, and of one build while they are not', () => {
    const turn = { type: 'turnKnob', slot: 'a', name: 'gain', rotation: 0.9 } as const;
    const linked = reduce(start, turn);
    expect(linked.builds.a.knobs['gain']).toBe(0.9);
    expect(linked.builds.b.knobs['gain']).toBe(0.9);
    const single = reduce({ ...start, isLinked: false }, turn);
    expect(single.builds.b).toBe(led);
  });

  it('keeps one temperature between -10 and 60 degrees, whatever is typed, and does not change the builds', () => {
    const at = (celsius: number) => reduce(start, { type: 'temperature', celsius });
    expect(at(41).temperatureC).toBe(41);
    expect(at(-40).temperatureC).toBe(-10);
    expect(at(451).temperatureC).toBe(60);
    expect(at(Number.NaN).temperatureC).toBe(start.temperatureC);
    expect(at(41).builds).toBe(start.builds);
  });

  it('sets the switches of both builds while they are linked', () => {
    const after = reduce(start, { type: 'throwSwitch', slot: 'b', name: 'clipping', position: 'lifted' });
    expect(after.builds.a.switches['clipping']).toBe('lifted');
    expect(after.builds.b.switches['clipping']).toBe('lifted');
  });

  it('links knobs and switches of two circuits by their jobs, and leaves the others alone', () => {
    const mixed = { ...start, builds: { a: plain, b: clean } };
    const turned = (slot: Slot, name: string, rotation: number) =>
      reduce(mixed, { type: 'turnKnob', slot, name, rotation }).builds;
    expect(turned('a', 'gain', 0.1).b.knobs).toEqual({ ...clean.knobs, gain: 0.1 });
    // The treble knob of the one does what the tone knob of the other does.
    expect(turned('b', 'treble', 0.2).a.knobs).toEqual({ ...plain.knobs, tone: 0.2 });
    expect(turned('b', 'bass', 0.2).a).toBe(plain);
    const alone = { type: 'turnKnob', slot: 'a', name: 'gain', rotation: 0.1 } as const;
    expect(reduce({ ...mixed, isLinked: false }, alone).builds.b).toBe(clean);
    const thrown = { type: 'throwSwitch', slot: 'a', name: 'clipping', position: 'lifted' } as const;
    expect(reduce(mixed, thrown).builds.b.switches).toEqual({ ...clean.switches, clipping: 'lifted' });
  });

  it('does not link two circuits of which one says no jobs, even with the same names', () => {
    const own = { ...clean, circuit: { ...presetBuild('clean-plain-revision-1').circuit, id: 'own' } };
    const mixed = { ...start, builds: { a: plain, b: own } };
    const after = reduce(mixed, { type: 'turnKnob', slot: 'a', name: 'gain', rotation: 0.1 });
    expect(after.builds.b).toBe(own);
  });

  it('copies one build over the other, and exchanges the two', () => {
    expect(reduce(start, { type: 'copy', from: 'a', to: 'b' }).builds).toEqual({ a: plain, b: plain });
    expect(reduce(start, { type: 'exchange' }).builds).toEqual({ a: led, b: plain });
  });

  it('keeps the same build objects when no build is edited', () => {
    for (const action of [
      { type: 'hear', slot: 'b' },
      { type: 'select', ref: 'R4' },
      { type: 'output', db: -6 },
    ] as const)
      expect(reduce(start, action).builds).toBe(start.builds);
  });

  it('forgets a refusal with the next accepted edit', () => {
    const refused = reduce(start, { type: 'refuse', ref: 'R4', slot: 'a', message: 'R4: no.' });
    expect(refused.refusal?.message).toBe('R4: no.');
    const after = reduce(refused, { type: 'setPart', slot: 'a', ref: 'R4', setting: { value: '2k2' } });
    expect(after.refusal).toBeUndefined();
  });
});

describe('the store of the bench', () => {
  it('undoes and redoes edits, and reports each change', () => {
    const store = new BenchStore(start);
    const told = vi.fn();
    store.addEventListener('change', told);
    store.act({ type: 'setPart', slot: 'a', ref: 'R4', setting: { value: '2k2' } });
    store.act({ type: 'undo' });
    expect(store.state.builds).toBe(start.builds);
    expect([store.canUndo, store.canRedo]).toEqual([false, true]);
    store.act({ type: 'redo' });
    expect(store.state.builds.a.parts['R4']).toEqual({ value: '2k2' });
    expect(told).toHaveBeenCalledTimes(3);
  });

  it('drops undone edits when another edit follows', () => {
    const store = new BenchStore(start);
    store.act({ type: 'setPart', slot: 'a', ref: 'R4', setting: { value: '2k2' } });
    store.act({ type: 'undo' });
    store.act({ type: 'setPart', slot: 'a', ref: 'R4', setting: { value: '10k' } });
    store.act({ type: 'redo' });
    expect(store.canRedo).toBe(false);
    expect(store.state.builds.a.parts['R4']).toEqual({ value: '10k' });
  });

  it('undoes one movement of a knob as one edit, however many steps it had', () => {
    // A busy machine may take longer for the steps than a hand that rests.
    const clock = vi.spyOn(Date, 'now').mockReturnValue(0);
    onTestFinished(() => clock.mockRestore());
    const store = new BenchStore(start);
    for (const rotation of [0.6, 0.7, 0.8])
      store.act({ type: 'turnKnob', slot: 'a', name: 'gain', rotation });
    store.act({ type: 'undo' });
    expect(store.state.builds).toBe(start.builds);
  });

  it('does not change on undo which build plays or what is selected', () => {
    const store = new BenchStore(start);
    store.act({ type: 'setPart', slot: 'a', ref: 'R4', setting: { value: '2k2' } });
    store.act({ type: 'hear', slot: 'b' });
    store.act({ type: 'select', ref: 'C4' });
    store.act({ type: 'undo' });
    expect(store.state).toMatchObject({ heard: 'b', selected: 'C4' });
  });

  it('refuses a wrong value with a sentence at its part and keeps the old value', () => {
    const store = new BenchStore(start);
    store.act({ type: 'setPart', slot: 'b', ref: 'R4', setting: { value: '4k7k' } });
    expect(store.state.builds).toBe(start.builds);
    expect(store.canUndo).toBe(false);
    expect(store.state.refusal).toMatchObject({ ref: 'R4', slot: 'b' });
    expect(store.state.refusal?.message).toContain('"4k7k"');
  });

  it('accepts what people type and stores the code of IEC 60062', () => {
    const store = new BenchStore(start);
    store.act({ type: 'setPart', slot: 'a', ref: 'R4', setting: { value: '4,7 kOhm' } });
    store.act({ type: 'setPart', slot: 'a', ref: 'C4', setting: { value: '0.047uF' } });
    expect(store.state.builds.a.parts['R4']).toEqual({ value: '4k7' });
    expect(store.state.builds.a.parts['C4']).toEqual({ value: '47n' });
  });

  it('refuses an edit after which the circuit cannot be solved, and names the net', () => {
    const store = new BenchStore(start);
    // Without R5 nothing biases the op-amp's input: only capacitors connect to that net.
    store.act({ type: 'setPart', slot: 'a', ref: 'R5', setting: { value: '10k', fit: 'open' } });
    expect(store.state.builds).toBe(start.builds);
    expect(store.state.refusal?.ref).toBe('R5');
    expect(store.state.refusal?.message).toContain('gain input');
  });

  it('removes a part where the circuit works without it', () => {
    const store = new BenchStore(start);
    store.act({ type: 'setPart', slot: 'a', ref: 'C4', setting: { value: '51p', fit: 'open' } });
    expect(store.state.refusal).toBeUndefined();
    expect(store.state.builds.a.parts['C4']).toEqual({ value: '51p', fit: 'open' });
  });
});

describe('the calibration of the interface', () => {
  it('is the meter’s reading divided by the level that returns', () => {
    // 0.5 V RMS that returns as a sine of peak 0.25 of full scale: full scale is 0.5·√2/0.25 V peak.
    expect(fullScaleVolts(0.5, 0.25 / Math.SQRT2)).toBeCloseTo((0.5 * Math.SQRT2) / 0.25, 12);
  });

  it('is refused from silence, from a clipped tone or without a reading', () => {
    expect(fullScaleVolts(0.5, 0.001)).toBeUndefined();
    expect(fullScaleVolts(0.5, 0.7)).toBeUndefined();
    expect(fullScaleVolts(0, 0.2)).toBeUndefined();
  });

  it('is kept for each gain position, and a new measurement replaces it', () => {
    const once = reduce(start, { type: 'keepCalibration', kept: { position: 'low', volts: 4 } });
    const twice = reduce(once, { type: 'keepCalibration', kept: { position: 'high', volts: 0.5 } });
    const again = reduce(twice, { type: 'keepCalibration', kept: { position: 'low', volts: 3.9 } });
    expect(again.calibration).toEqual({ volts: 3.9, isMeasured: true });
    expect(again.calibrations).toEqual([
      { position: 'high', volts: 0.5 },
      { position: 'low', volts: 3.9 },
    ]);
  });
});
