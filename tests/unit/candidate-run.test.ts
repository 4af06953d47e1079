import { describe, expect, it } from 'vitest';
import { candidatesFor } from '../../engine/analysis/rank-candidates.ts';
import type { Action, BenchState } from '../../ui/state/bench-state.ts';
import { BenchStore } from '../../ui/state/bench-store.ts';
import type { TriedCandidate } from '../../ui/state/candidate-run.ts';
import { freshState } from '../../ui/state/starting-state.ts';
import { presetBuild } from '../preset-build.ts';

const plain = presetBuild('soft-plain');
const led = presetBuild('soft-led');
const REFS = ['D1', 'D2'];
const NAMES = ['1N34A', 'BAT46', 'LED-red', '1N4001', 'OA91', '1N5817'];

const tried: readonly TriedCandidate[] = candidatesFor(plain, REFS, NAMES.join(', ')).map(
  ({ text, settings }) => ({ text, settings, verdict: undefined }),
);

/** A bench whose candidates are under way; the swaps of a store without a worker are made at once. */
function underWay(isHidden = false): BenchStore {
  const store = new BenchStore(freshState({ a: plain, b: led }));
  store.act({ type: 'startCandidates', refs: REFS, list: tried, isHidden });
  return store;
}

const typeIn = ({ builds }: BenchState, ref = 'D1') => builds.b.parts[ref]?.type;
const verdicts = ({ ear }: BenchState) => ear.candidates?.list.map(({ verdict }) => verdict);

describe('candidates that are stepped through in build B', () => {
  it('begin with the first in both places of B, which is otherwise build A, and B is heard', () => {
    const { state } = underWay();
    expect(state.heard).toBe('b');
    expect([typeIn(state, 'D1'), typeIn(state, 'D2')]).toEqual(['1N34A', '1N34A']);
    const { D1: _, D2: __, ...others } = state.builds.b.parts;
    const { D1: ___, D2: ____, ...ofA } = plain.parts;
    expect(others).toEqual(ofA);
    expect(state.builds.a).toBe(plain);
  });

  it('step forward and back, round at both ends, and A can be heard in between', () => {
    const store = underWay();
    store.act({ type: 'candidate', step: -1 });
    expect(typeIn(store.state)).toBe('1N5817');
    store.act({ type: 'candidate', step: 1 });
    expect(typeIn(store.state)).toBe('1N34A');
    store.act({ type: 'hear', slot: 'a' });
    expect(typeIn(store.state)).toBe('1N34A');
    store.act({ type: 'candidate', step: 1 });
    expect([store.state.heard, typeIn(store.state)]).toEqual(['b', 'BAT46']);
  });

  it('take a verdict with one press each, which goes on to the next one without a verdict', () => {
    const store = underWay();
    const said = ['better', 'same', 'worse', 'better', 'same', 'worse'] as const;
    for (const verdict of said) store.act({ type: 'verdict', verdict });
    expect(verdicts(store.state)).toEqual(said);
    store.act({ type: 'pickCandidate', index: 1 });
    store.act({ type: 'verdict', verdict: 'better' });
    expect(verdicts(store.state)?.[1]).toBe('better');
    expect(typeIn(store.state)).toBe('BAT46');
  });

  it('give build B back at the end, as it was, and leave nothing to undo', () => {
    const store = underWay();
    store.act({ type: 'verdict', verdict: 'same' });
    store.act({ type: 'endCandidates', keeps: false });
    expect(store.state.builds.b).toBe(led);
    expect(store.canUndo).toBe(false);
    expect(verdicts(store.state)?.[0]).toBe('same');
  });

  it('leave the chosen one in B where it is kept, and one undo brings back what was there before', () => {
    const store = underWay();
    for (const step of [1, 1, -1] as const) store.act({ type: 'candidate', step });
    store.act({ type: 'endCandidates', keeps: true });
    expect(typeIn(store.state)).toBe('BAT46');
    store.act({ type: 'undo' });
    expect(store.state.builds.b).toBe(led);
    expect(store.canUndo).toBe(false);
  });

  it('leave nothing else to undo where knobs were turned meanwhile, and no candidate comes back', () => {
    const turned = (isAlone: boolean) => {
      const store = underWay();
      store.act({ type: 'turnKnob', slot: 'b', name: 'gain', rotation: 0.8, isAlone });
      store.act({ type: 'candidate', step: 1 });
      return store;
    };
    const ended = turned(true);
    ended.act({ type: 'endCandidates', keeps: false });
    expect([ended.state.builds.b, ended.canUndo]).toEqual([led, false]);
    for (const isAlone of [true, false]) {
      const store = turned(isAlone);
      const { a } = store.state.builds;
      store.act({ type: 'undo' });
      expect([store.state.builds.b, store.state.builds.a]).toEqual([led, a]);
      expect(store.canUndo).toBe(!isAlone);
      store.act({ type: 'undo' });
      expect(store.state.builds).toEqual({ a: plain, b: led });
    }
    const kept = turned(false);
    kept.act({ type: 'endCandidates', keeps: true });
    kept.act({ type: 'undo' });
    expect([kept.state.builds.b, kept.state.builds.a.knobs['gain']]).toEqual([led, 0.8]);
  });

  it('are over after undo, and after B became another build, with their verdicts kept', () => {
    const others: readonly Action[] = [
      { type: 'undo' },
      { type: 'load', slot: 'b', build: led },
      { type: 'exchange' },
      { type: 'setPart', slot: 'b', ref: 'R4', setting: { value: '2k2' } },
    ];
    for (const action of others) {
      const store = underWay(true);
      store.act({ type: 'verdict', verdict: 'worse' });
      store.act(action);
      expect(store.state.ear.candidates).toMatchObject({ at: undefined, isHidden: false });
      expect(verdicts(store.state)?.[0]).toBe('worse');
    }
  });

  it('go on while knobs are turned, in both builds or in B alone, which keeps its own', () => {
    const store = underWay();
    store.act({ type: 'turnKnob', slot: 'b', name: 'gain', rotation: 0.8, isAlone: true });
    store.act({ type: 'candidate', step: 1 });
    expect([typeIn(store.state), store.state.builds.b.knobs['gain']]).toEqual(['BAT46', 0.8]);
    expect(store.state.builds.a.knobs['gain']).toBe(plain.knobs['gain']);
  });

  it('go on while switches and the bypass of B alone are changed, which it keeps', () => {
    const [name, other, bypass] = ['clipping', 'asymmetric', 'buffered'] as const;
    expect([plain.switches[name], plain.bypass]).not.toEqual([other, bypass]);
    const store = underWay();
    store.act({ type: 'link', isLinked: false });
    store.act({ type: 'throwSwitch', slot: 'b', name, position: other });
    store.act({ type: 'setBypass', slot: 'b', bypass });
    store.act({ type: 'candidate', step: 1 });
    const { b } = store.state.builds;
    expect([typeIn(store.state), b.switches[name], b.bypass]).toEqual(['BAT46', other, bypass]);
    expect(store.state.builds.a.switches).toEqual(plain.switches);
  });

  it('are in a build of A alone, once A is of another circuit', () => {
    const store = underWay();
    store.act({ type: 'load', slot: 'a', build: presetBuild('clean-plain') });
    store.act({ type: 'candidate', step: 1 });
    const { a, b } = store.state.builds;
    expect([b.knobs, b.switches]).toEqual([a.knobs, a.switches]);
  });

  it('keep why others were left out', () => {
    const store = new BenchStore(freshState({ a: plain, b: led }));
    const refused = ['OA91 is left out: D1 hums.'];
    store.act({ type: 'startCandidates', refs: REFS, list: tried, isHidden: true, refused });
    store.act({ type: 'endCandidates', keeps: false });
    expect(store.state.ear.candidates?.refused).toEqual(refused);
  });

  it('are set against the present build A, also after a swap in it', () => {
    const store = underWay();
    store.act({ type: 'setPart', slot: 'a', ref: 'R4', setting: { value: '2k2' } });
    store.act({ type: 'candidate', step: 1 });
    expect(store.state.builds.b.parts['R4']).toEqual({ value: '2k2' });
  });
});

describe('steps and verdicts without candidates', () => {
  const store = () => new BenchStore({ ...freshState({ a: plain, b: plain }), selected: 'R4' });

  it('step the chosen part of B along its series, as an arrow key does, and B is heard', () => {
    const bench = store();
    bench.act({ type: 'candidate', step: 1 });
    // The next of E12 after 4k7: IEC 60063.
    expect(bench.state.builds.b.parts['R4']).toEqual({ value: '5k6' });
    expect(bench.state.heard).toBe('b');
    expect(bench.state.builds.a).toBe(plain);
    bench.act({ type: 'candidate', step: -1 });
    expect(bench.state.builds.b.parts['R4']).toEqual(plain.parts['R4']);
  });

  it('change nothing where there is no such part, no next one, or nothing to judge', () => {
    for (const selected of ['X9', 'BT1']) {
      const bench = new BenchStore({ ...freshState({ a: plain, b: plain }), selected });
      bench.act({ type: 'candidate', step: 1 });
      bench.act({ type: 'verdict', verdict: 'better' });
      bench.act({ type: 'endCandidates', keeps: false });
      bench.act({ type: 'pickCandidate', index: 2 });
      expect(bench.state.builds).toEqual({ a: plain, b: plain });
      expect(bench.canUndo).toBe(false);
    }
  });
});
