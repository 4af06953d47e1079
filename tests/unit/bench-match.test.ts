import { expect, it } from 'vitest';
import { BuildError } from '../../engine/builds/build-error.ts';
import { BenchMatch } from '../../ui/bench-match.ts';
import { Cancelled } from '../../ui/ear/ear-pool.ts';
import type { FoundLoudness, MatchDesk } from '../../ui/ear/match-desk.ts';
import type { BenchState } from '../../ui/state/bench-state.ts';
import { BenchStore } from '../../ui/state/bench-store.ts';
import { isMatchFresh, soundEngaged } from '../../ui/state/matched-sound.ts';
import { freshState } from '../../ui/state/starting-state.ts';
import { presetBuild } from '../preset-build.ts';

/** A desk whose answers the test gives. */
function bench() {
  const asked: BenchState[] = [];
  const answers: { found: (found: FoundLoudness) => void; failed: (error: Error) => void }[] = [];
  const find = (state: BenchState) => {
    asked.push(state);
    const whole = () =>
      new Promise<FoundLoudness>((resolve, reject) => answers.push({ found: resolve, failed: reject }));
    return { whole, estimate: whole };
  };
  const store = new BenchStore(freshState({ a: presetBuild('soft-plain'), b: presetBuild('soft-led') }));
  new BenchMatch({ find } as unknown as MatchDesk).follow(store);
  return { store, asked, answers };
}

/** After all timers that are due. */
const turn = () => new Promise((resolve) => setTimeout(resolve));

const foundFor = (state: BenchState): FoundLoudness => ({
  sound: soundEngaged(state),
  loudness: { a: -20, b: -17 },
  isByNotes: false,
  isEstimate: false,
});

it('matches what plays once it is heard, and again after something else that changes the loudness', async () => {
  const { store, asked, answers } = bench();
  store.act({ type: 'standIn', hasStandIn: false });
  await turn();
  expect(asked).toEqual([]);
  store.act({ type: 'listen', isListening: true });
  await expect.poll(() => answers.length).toBe(1);
  answers[0]!.found(foundFor(asked[0]!));
  await expect.poll(() => store.state.match.db).toEqual({ a: 0, b: -3 });
  expect(isMatchFresh(store.state)).toBe(true);
  store.act({ type: 'standIn', hasStandIn: true });
  expect(isMatchFresh(store.state)).toBe(false);
  await expect.poll(() => answers.length).toBe(2);
});

it('asks again for a sound whose match was overtaken by a swap that was refused before', async () => {
  const { store, answers } = bench();
  store.act({ type: 'listen', isListening: true });
  await expect.poll(() => answers.length).toBe(1);
  store.act({ type: 'refuse', ref: '', slot: 'b', message: 'No.' });
  answers[0]!.failed(new Cancelled());
  await expect.poll(() => answers.length).toBe(2);
});

it('asks once for what follows a swap that has overtaken another', async () => {
  const { store, asked, answers } = bench();
  store.act({ type: 'listen', isListening: true });
  await expect.poll(() => answers.length).toBe(1);
  store.act({ type: 'setPart', slot: 'b', ref: 'R4', setting: { value: '2k2' } });
  answers[0]!.failed(new Cancelled());
  await expect.poll(() => answers.length).toBe(2);
  await turn();
  await turn();
  expect(asked.map(({ builds }) => builds.b.parts['R4'])).toEqual([{ value: '4k7' }, { value: '2k2' }]);
});

it('says why there is no match, also after an estimate', async () => {
  const { store, asked, answers } = bench();
  store.act({ type: 'listen', isListening: true });
  await expect.poll(() => answers.length).toBe(1);
  const estimate = { sound: soundEngaged(asked[0]!), isEstimate: true, isByNotes: true };
  store.act({ type: 'match', match: { ...store.state.match, ...estimate } });
  answers[0]!.failed(new BuildError([]));
  await expect.poll(() => store.state.match.problem).toMatch(/^Levels cannot be matched\./);
  expect(store.state.match).toMatchObject({ isEstimate: false, isByNotes: false });
  expect(isMatchFresh(store.state)).toBe(true);
});

it('does nothing where levels are as soldered', async () => {
  const { store, asked } = bench();
  store.act({ type: 'match', match: { ...store.state.match, isAutomatic: false } });
  store.act({ type: 'listen', isListening: true });
  await turn();
  expect(asked).toEqual([]);
});
