import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { serialiseMeasured } from '../../engine/builds/measured-parts.ts';
import { readPassive } from '../../engine/parts/passive-piece.ts';
import { loadMeasured, saveMeasured, unreadMeasured } from '../../ui/state/kept-measured.ts';
import { reduce } from '../../ui/state/reduce.ts';
import { freshState } from '../../ui/state/starting-state.ts';
import { presetBuild } from '../preset-build.ts';
import { type FakeStorage, stubStorage } from './kept-storage.ts';

const NAME = 'cliplead-measured-parts';
const resistor = readPassive({ name: '10k no. 1', kind: 'resistor', like: '10k', value: 9870 });
let storage: FakeStorage;

describe('the measured parts in the browser', () => {
  beforeEach(() => {
    storage = stubStorage();
  });
  afterEach(() => vi.unstubAllGlobals());

  it('are there on the next visit, in every build', () => {
    const plain = presetBuild('soft-plain');
    const state = reduce(freshState({ a: plain, b: plain }), { type: 'keepMeasured', parts: [resistor] });
    expect(reduce(state, { type: 'load', slot: 'a', build: presetBuild('soft-led') }).measured).toEqual([
      resistor,
    ]);
    saveMeasured(state.measured);
    expect(loadMeasured()).toEqual([resistor]);
    saveMeasured([]);
    expect(loadMeasured()).toEqual([]);
    expect(storage.texts.has(NAME)).toBe(false);
  });

  it('that are damaged are put aside, and the sound ones are read', () => {
    const text = serialiseMeasured([resistor, { ...resistor, name: 'bad', value: -1 } as typeof resistor]);
    storage.texts.set(NAME, text);
    expect(loadMeasured()).toEqual([resistor]);
    expect(unreadMeasured()).toBe(text);
    storage.texts.set(NAME, 'no file');
    expect(loadMeasured()).toEqual([]);
    expect(unreadMeasured()).toBe('no file');
  });
});
