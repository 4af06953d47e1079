import type { ReactiveControllerHost } from 'lit';
import { beforeEach, expect, it } from 'vitest';
import { FirstSteps } from '../../ui/first-steps.ts';
import type { BenchState } from '../../ui/state/bench-state.ts';
import { BenchStore } from '../../ui/state/bench-store.ts';
import { startingBench } from '../../ui/state/starting-state.ts';
import { presetBuild } from '../preset-build.ts';
import { stubStorage } from './kept-storage.ts';

beforeEach(() => {
  stubStorage();
});

const host = { addController: () => {}, requestUpdate: () => {} } as unknown as ReactiveControllerHost;
const clean = presetBuild('clean-plain');

function stepsOn(state: BenchState) {
  const store = new BenchStore(state);
  return { store, steps: new FirstSteps(host, store) };
}

it('the first steps are shown with the first builds alone, whose levels are matched', () => {
  const { state } = startingBench('guitar-fifths');
  expect(stepsOn(state).steps.notices).toHaveLength(1);
  expect(stepsOn({ ...state, builds: { ...state.builds, b: clean } }).steps.notices).toEqual([]);
  const match = { ...state.match, isAutomatic: false };
  expect(stepsOn({ ...state, match }).steps.notices).toEqual([]);
});

it('the first steps stay after a swap, and go once a build of another circuit is loaded', () => {
  const { store, steps } = stepsOn(startingBench('guitar-fifths').state);
  store.act({ type: 'setPart', slot: 'b', ref: 'D1', setting: { type: 'OA91' } });
  expect(steps.notices[0]?.text).toContain('✓ 2.');
  store.act({ type: 'load', slot: 'b', build: clean });
  expect(steps.notices).toEqual([]);
});

it('the first steps speak of A and B where there is no space bar', () => {
  const { state } = startingBench('guitar-fifths');
  expect(stepsOn(state).steps.notices[0]?.text).toContain('3. Press the space bar: A, B.');
  const list = { matches: true, addEventListener: () => {}, removeEventListener: () => {} };
  Object.assign(globalThis, { matchMedia: () => list });
  const phone = stepsOn(state).steps;
  Reflect.deleteProperty(globalThis, 'matchMedia');
  expect(phone.notices[0]?.text).toContain('3. Press A, then B.');
});
