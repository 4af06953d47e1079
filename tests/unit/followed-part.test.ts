import { describe, expect, it } from 'vitest';
import { startingBuild } from '../../engine/builds/build.ts';
import { parseCircuit } from '../../engine/circuits/circuit-file.ts';
import softClip1 from '../../presets/circuits/soft-clip.revision-1.json';
import type { Action, BenchState } from '../../ui/state/bench-state.ts';
import { partBeside } from '../../ui/state/followed-part.ts';
import { carriedOut, freshHistory } from '../../ui/state/history.ts';
import { selectedInA } from '../../ui/state/part-in-a.ts';
import { chosenRefs } from '../../ui/state/reach.ts';
import { reduce } from '../../ui/state/reduce.ts';
import { freshState } from '../../ui/state/starting-state.ts';
import { presetBuild } from '../preset-build.ts';

const soft = presetBuild('soft-plain');
const clean = presetBuild('clean-plain');

const benchAfter = (state: BenchState, ...actions: readonly Action[]) => actions.reduce(reduce, state);
const select = (ref: string): Action => ({ type: 'select', ref });
const hear = (slot: 'a' | 'b'): Action => ({ type: 'hear', slot });

// Which part of the one schematic does what a part of the other does was read from both by hand; common practice, no source.
describe('the part on the card, where A and B are of two circuits', () => {
  const both = freshState({ a: soft, b: clean });
  const refOf = (...actions: readonly Action[]) => benchAfter(both, ...actions).selected;

  it('is the one with the same job in the build that is heard, and before as after', () => {
    expect(refOf(select('C3'), hear('b'))).toBe('C4');
    expect(refOf(select('D1'), hear('b'))).toBe('D2');
    expect(refOf(select('C3'), hear('b'), hear('a'))).toBe('C3');
  });

  it('has the name of the part before where none has its job, else it is the first; and back it is the one before', () => {
    // R7 of Soft clip is the low-pass ahead of its tone control, which the other circuit does not have; nor any R101.
    expect(refOf(select('R7'), hear('b'))).toBe('R7');
    const two = freshState({ a: clean, b: presetBuild('jfet-plain') });
    const heardB = benchAfter(two, select('VR4'), hear('b'));
    expect([heardB.selected, benchAfter(heardB, hear('a')).selected]).toEqual(['R1', 'VR4']);
  });

  it('is again the part from before where several have one job, and another where another was chosen meanwhile', () => {
    // Both op-amps of Clean blend that have a job in Soft clip stand for its one, U1.
    const there = benchAfter(both, hear('b'), select('U2'), hear('a'));
    expect(there.selected).toBe('U1');
    expect(benchAfter(there, hear('b')).selected).toBe('U2');
    expect(benchAfter(there, select('C3'), hear('b')).selected).toBe('C4');
  });

  it('has its own group there, and the one before has its reach again', () => {
    const alone = benchAfter(both, select('D1'), { type: 'reach', reach: { kind: 'alone' } }, hear('b'));
    expect(chosenRefs(alone)).toEqual(['D2']);
    expect(chosenRefs(benchAfter(both, select('D1'), hear('b')))).toContain('D2');
    expect(benchAfter(alone, hear('a')).reach).toEqual({ kind: 'alone' });
  });

  it('stands for the part of A from which it came, for candidates', () => {
    const there = benchAfter(both, select('D1'), hear('b'));
    expect([selectedInA(there), partBeside(there)]).toEqual(['D1', { slot: 'a', ref: 'D1' }]);
    const two = freshState({ a: clean, b: soft });
    expect(selectedInA(benchAfter(two, select('U2'), hear('b')))).toBe('U2');
  });

  it('follows where another circuit is put in its place, and where that is undone', () => {
    const start = benchAfter(freshState({ a: soft, b: soft }), select('C3'));
    const loaded = carriedOut(freshHistory(start), { type: 'load', slot: 'a', build: clean }, 0);
    expect(loaded.state.selected).toBe('C4');
    expect(carriedOut(loaded, { type: 'undo' }, 0).state.selected).toBe('C3');
  });

  it('stays where both are of one circuit', () => {
    const one = benchAfter(freshState({ a: soft, b: presetBuild('soft-led') }), select('C3'));
    expect(benchAfter(one, hear('b'))).toMatchObject({ selected: 'C3', cameFrom: undefined });
    expect(partBeside(one)).toBeUndefined();
  });

  it('keeps its name where the other document says no jobs', () => {
    const jobless = startingBuild(parseCircuit({ ...softClip1, id: 'mine', title: 'My own' }).circuit!);
    const state = benchAfter(freshState({ a: soft, b: jobless }), select('C3'), hear('b'));
    expect([state.selected, partBeside(state)]).toEqual(['C3', undefined]);
  });
});
