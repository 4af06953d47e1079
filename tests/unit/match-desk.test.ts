import { beforeEach, describe, expect, it, vi } from 'vitest';
import { LONE } from '../../engine/builds/chain.ts';
import type { LoudnessQueue, WantedLoudness } from '../../ui/ear/loudness-queue.ts';
import { MatchDesk } from '../../ui/ear/match-desk.ts';
import type { PlayingPhrase } from '../../ui/ear/playing-phrase.ts';
import type { BenchState } from '../../ui/state/bench-state.ts';
import { freshState } from '../../ui/state/starting-state.ts';
import { presetBuild } from '../preset-build.ts';

const RATE_HZ = 8000;
const plain = presetBuild('soft-plain');
const start = freshState({ a: plain, b: presetBuild('soft-led') });
const live: BenchState = { ...start, source: { kind: 'live', deviceId: 'scarlet', channel: 0 } };
const run = {
  refs: ['D1'],
  pedal: 0,
  list: [],
  at: 0,
  isHidden: false,
  before: plain,
  placeBefore: LONE,
  refused: [],
};
const inRun: BenchState = { ...live, ear: { ...live.ear, candidates: run } };

/** Playing of so many of the last six seconds: the rest is the hum of an input, 1 mV. */
const played = (seconds: number) =>
  Float32Array.from({ length: 6 * RATE_HZ }, (_, n) => (n < seconds * RATE_HZ ? 0.1 : 0.001) * (-1) ** n);

let recent = played(6);
let source: BenchState['source'] = live.source;
let now = 0;

/** A desk, and what it asks the queue for. */
function desk() {
  const asked: WantedLoudness[] = [];
  const queue = {
    urgently: (wanted: readonly WantedLoudness[]) => {
      asked.push(...wanted);
      return wanted.map(() => ({
        passage: Promise.resolve(-20),
        whole: Promise.resolve({ whole: -20, passage: -18 }),
      }));
    },
  };
  const session = {
    get state() {
      return { sampleRateHz: RATE_HZ, source };
    },
    start: async () => {},
    readRecentInput: async () => recent,
  };
  type Parameters = ConstructorParameters<typeof MatchDesk>;
  return {
    asked,
    desk: new MatchDesk(
      session as unknown as Parameters[0],
      {} as PlayingPhrase,
      queue as unknown as LoudnessQueue,
    ),
  };
}

beforeEach(() => {
  recent = played(6);
  source = live.source;
  now = 0;
  vi.spyOn(performance, 'now').mockImplementation(() => now);
});

describe('the phrase over which levels are matched with a live guitar', () => {
  it('is what was played last, for twenty seconds, and while candidates are tried for as long as that takes', async () => {
    const { desk: matches, asked } = desk();
    const phraseOf = async (state: BenchState) => {
      await matches.find(state).whole();
      return asked.at(-1)!.plan.phrase.inputV;
    };
    const first = await phraseOf(live);
    expect([...first]).toEqual([...recent]);
    now = 19_000;
    expect(await phraseOf(live)).toBe(first);
    now = 300_000;
    expect(await phraseOf(inRun)).toBe(first);
    expect(await phraseOf(live)).not.toBe(first);
  });

  it('is plucked notes where only a little was played, the same ones each time, until more has been', async () => {
    const { desk: matches, asked } = desk();
    recent = played(1);
    const found = await matches.find(live).whole();
    expect(found.isByNotes).toBe(true);
    await matches.find(live).whole();
    expect(new Set(asked.map(({ key }) => key)).size).toBe(2);
    recent = played(2);
    expect((await matches.find(live).whole()).isByNotes).toBe(false);
  });

  it('is nothing that another source has played while the input is opened', async () => {
    const { desk: matches } = desk();
    source = { kind: 'recording', id: 'guitar-fifths' };
    expect((await matches.find(live).whole()).isByNotes).toBe(true);
    source = live.source;
    expect((await matches.find(live).whole()).isByNotes).toBe(false);
  });
});
