import { describe, expect, it } from 'vitest';
import { candidatesFor } from '../../engine/analysis/rank-candidates.ts';
import { BuildError } from '../../engine/builds/build-error.ts';
import { candidateKeysText } from '../../ui/ear/candidate-keys.ts';
import { prepareCandidates, shuffled } from '../../ui/ear/candidate-list.ts';
import { Cancelled } from '../../ui/ear/ear-pool.ts';
import { LoudnessQueue } from '../../ui/ear/loudness-queue.ts';
import type { BuildLoudness, LoudnessPlan } from '../../ui/ear/voice-loudness.ts';
import { STANDARD_KEYS } from '../../ui/hands/hand-bindings.ts';
import { BenchStore } from '../../ui/state/bench-store.ts';
import { loadBench, saveBench } from '../../ui/state/saved-bench.ts';
import { freshState } from '../../ui/state/starting-state.ts';
import { presetBuild } from '../preset-build.ts';
import { stubStorage } from './kept-storage.ts';

const plain = presetBuild('soft-plain');
const led = presetBuild('soft-led');
const bench = freshState({ a: plain, b: led });
const candidates = candidatesFor(plain, ['D1', 'D2'], '1N34A, BAT46, OA91');

describe('a list of candidates', () => {
  it('is prepared in build A with each of them, and leaves out what cannot be played, with the reason', async () => {
    const asked: unknown[] = [];
    const told: number[] = [];
    const inRun: unknown[] = [];
    const prepared = await prepareCandidates(bench, candidates, {
      prepareB: async ({ builds, ear }) => {
        inRun.push(ear.candidates?.at);
        asked.push([builds.b.parts['D1'], builds.b.parts['D2'], builds.b.parts['R4']]);
        if (builds.b.parts['D1']?.type === 'BAT46')
          throw new BuildError([{ code: 'bad-part', path: 'parts.D1', message: 'D1 hums.' }]);
        return -20;
      },
      onDone: (count) => told.push(count),
      signal: new AbortController().signal,
    });
    const with_ = (type: string) => [{ type }, { type }, plain.parts['R4']];
    expect(asked).toEqual([with_('1N34A'), with_('BAT46'), with_('OA91')]);
    expect(inRun).toEqual([undefined, 1, 2]);
    expect(prepared?.list.map(({ text }) => text)).toEqual(['1N34A', 'OA91']);
    expect(prepared?.refused).toEqual([expect.stringMatching(/^BAT46 is left out: .*D1 hums\./)]);
    expect(told).toEqual([1, 2, 3]);
  });

  it('is prepared no further once it is stopped', async () => {
    const stop = new AbortController();
    const told: number[] = [];
    const prepared = await prepareCandidates(bench, candidates, {
      prepareB: async () => {
        if (told.length === 1) stop.abort();
        return -20;
      },
      onDone: (count) => told.push(count),
      signal: stop.signal,
    });
    expect([prepared, told]).toEqual([undefined, [1]]);
  });

  it('names the keys that are bound to it, and no others', () => {
    const { better: _, ...others } = STANDARD_KEYS;
    const keys = { ...others, next: { key: 'n', press: 'momentary' } } as const;
    expect(candidateKeysText({ keys })).toBe(
      'Keys: 2: same as A; 3: worse than A; Comma: previous; N: next; Space: A or B. After a verdict the next one plays.',
    );
    expect(candidateKeysText({ keys: {} })).toBe('');
  });

  it('has every order once over all throws of its die: Fisher and Yates', () => {
    // Three items: the die has 3 faces and then 2, so 6 throws for the 6 orders.
    const orders = [0, 1, 2].flatMap((first) =>
      [0, 1].map((second) => shuffled(['a', 'b', 'c'], (count) => (count === 3 ? first : second)).join('')),
    );
    expect([...orders].sort()).toEqual(['abc', 'acb', 'bac', 'bca', 'cab', 'cba']);
  });

  it('is not what the next visit begins with: the stored B is the one before it', () => {
    stubStorage();
    const store = new BenchStore(bench);
    const list = candidates.map(({ text, settings }) => ({ text, settings, verdict: undefined }));
    store.act({ type: 'startCandidates', refs: ['D1', 'D2'], list, isHidden: true });
    expect(store.state.builds.b.parts['D1']?.type).toBe('1N34A');
    saveBench(store.state);
    const kept = loadBench();
    expect(kept?.kind === 'whole' && kept.builds.b.parts['D1']).toEqual({ type: 'LED-red' });
  });
});

describe('the queue of what has to be as loud', () => {
  /** A queue whose worker answers when the test says so. */
  function queue() {
    const begun: string[] = [];
    const answers: ((loudness: BuildLoudness) => void)[] = [];
    const passages: ((loudness: number) => void)[] = [];
    const computing = new LoudnessQueue((plan, onPassage) => {
      begun.push(plan as unknown as string);
      passages.push(onPassage);
      return new Promise((resolve) => answers.push(resolve));
    });
    const wanted = (key: string) => ({ key, plan: key as unknown as LoudnessPlan });
    const answer = async (whole: number) => {
      answers.shift()!({ passage: whole + 3, whole });
      for (let turn = 0; turn < 5; turn++) await Promise.resolve();
    };
    return { computing, begun, passages, wanted, answer };
  }

  it('computes a swap before what is only prepared, and each build once', async () => {
    const { computing, begun, wanted, answer } = queue();
    for (const key of ['one', 'two', 'three']) void computing.inAdvance(wanted(key));
    const [a, b] = computing.urgently([wanted('A'), wanted('three')]);
    await answer(-20);
    await answer(-21);
    await answer(-22);
    expect(begun).toEqual(['one', 'three', 'A', 'two']);
    expect([(await a!.whole).whole, (await b!.whole).whole]).toEqual([-22, -21]);
    computing.urgently([wanted('A')]);
    expect(begun).toHaveLength(4);
  });

  it('gives the loudness of the loudest passage before that of all', async () => {
    const { computing, passages, wanted } = queue();
    const [coming] = computing.urgently([wanted('A')]);
    passages[0]!(-17);
    expect(await coming!.passage).toBe(-17);
  });

  it('goes on with what is wanted in advance when a swap that wanted it too is overtaken', async () => {
    const { computing, begun, wanted, answer } = queue();
    void computing.inAdvance(wanted('one'));
    const coming = [computing.inAdvance(wanted('two'))];
    computing.urgently([wanted('two'), wanted('three')]);
    coming.push(computing.inAdvance(wanted('three')));
    computing.urgently([wanted('four')]);
    for (const loudness of [-20, -21, -22, -23]) await answer(loudness);
    expect(begun).toEqual(['one', 'four', 'two', 'three']);
    expect(await Promise.all(coming.map(async ({ whole }) => (await whole).whole))).toEqual([-22, -23]);
  });

  it('drops a swap that was overtaken, and computes it anew if it is asked for again', async () => {
    const { computing, begun, wanted, answer } = queue();
    computing.urgently([wanted('A')]);
    const [early] = computing.urgently([wanted('A'), wanted('B1')]).slice(1);
    const [late] = computing.urgently([wanted('A'), wanted('B2')]).slice(1);
    await expect(early!.whole).rejects.toBeInstanceOf(Cancelled);
    await answer(-20);
    await answer(-25);
    expect((await late!.whole).whole).toBe(-25);
    computing.urgently([wanted('B1')]);
    expect(begun).toEqual(['A', 'B2', 'B1']);
  });
});
