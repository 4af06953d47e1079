import { describe, expect, it } from 'vitest';
import {
  binomialUpperTail,
  guessingProbability,
  leastCorrect,
  signTestProbability,
} from '../../engine/analysis/binomial.ts';
import {
  answeredTrials,
  answerTrial,
  type BlindAnswer,
  type BlindTest,
  BlindTestKey,
  type BlindTestKind,
  blindTestOutcome,
  currentTrial,
  isFinished,
  startBlindTest,
  voidTrial,
} from '../../engine/analysis/blind-test.ts';
import { blindTestPlan } from '../../engine/analysis/blind-test-plan.ts';
import { blindTestJson, blindTestReport, blindTestText } from '../../engine/analysis/blind-test-report.ts';
import { parseBuildFile } from '../../engine/builds/build-file.ts';
import { presetBuild } from '../preset-build.ts';
import { noise } from './audio-signals.ts';

/**
 * Smallest number of right answers of n in a forced choice of two, one-tailed, for p <= 0.05 and p <= 0.01: E. B.
 * Roessler et al.,
 * "Expanded statistical tables for estimating significance in paired-preference, paired-difference, duo-trio and
 * triangle tests", J. Food Science 43 (1978), 940; from memory.
 */
const PUBLISHED: readonly (readonly [trials: number, fivePercent: number, onePercent: number])[] = [
  [7, 7, 7],
  [8, 7, 8],
  [9, 8, 9],
  [10, 9, 10],
  [11, 9, 10],
  [12, 10, 11],
  [13, 10, 12],
  [14, 11, 12],
  [15, 12, 13],
  [16, 12, 14],
  [17, 13, 14],
  [18, 13, 15],
  [19, 14, 15],
  [20, 15, 16],
  [25, 18, 19],
  [30, 20, 22],
  [40, 26, 28],
  [50, 32, 34],
];

/** Chance to pass at p <= 0.05 for listeners right in 70, 80, 90 %: scipy.stats.binom.sf, SciPy 1.17.1. */
const POWER: readonly (readonly [trials: number, ...number[]])[] = [
  [10, 0.1493083459, 0.3758096384, 0.7360989291],
  [16, 0.4499041198, 0.7982454418, 0.9829960017],
  [25, 0.511848544, 0.890877204, 0.9977386884],
];

/** Random choices that are the same in every run. */
function tosses(seed: number): () => boolean {
  const values = noise(1000, seed);
  let place = 0;
  return () => values[place++]! > 0;
}

function play(kind: BlindTestKind, answers: readonly BlindAnswer[]): BlindTest {
  return answers.reduce(answerTrial, startBlindTest(kind, answers.length));
}

describe('the statistics of a forced choice', () => {
  it.each(PUBLISHED)('needs in %i trials the published numbers of right answers', (trials, five, one) => {
    expect(leastCorrect(trials, 0.05)).toBe(five);
    expect(leastCorrect(trials, 0.01)).toBe(one);
  });

  it('has the probabilities of the binomial distribution', () => {
    const table = [
      [5, 5, 0.03125],
      [7, 8, 0.03516],
      [9, 10, 0.01074],
      [10, 12, 0.01929],
      [12, 16, 0.03841],
      [15, 20, 0.02069],
      [18, 25, 0.02164],
      [8, 10, 0.05469],
      [11, 16, 0.10506],
    ] as const;
    for (const [correct, trials, p] of table) {
      expect(guessingProbability(correct, trials), `${correct}/${trials}`).toBeCloseTo(p, 5); // printed to 5
    }
  });

  it('stays exact for long tests', () => {
    // scipy.stats.binom.sf(549, 1000, 0.5) and (511, 1000, 0.5), SciPy 1.17.1
    expect(guessingProbability(550, 1000)).toBeCloseTo(0.0008652680424881513, 12);
    expect(guessingProbability(512, 1000)).toBeCloseTo(0.23352256082639353, 12);
  });

  it('adds up to one, and is exact at both ends', () => {
    expect(guessingProbability(0, 12)).toBe(1);
    expect(guessingProbability(12, 12)).toBeCloseTo(2 ** -12, 15);
    expect(guessingProbability(13, 12)).toBe(0);
    // P(X >= k) of p and P(X >= n - k + 1) of 1 - p together cover every case once.
    expect(binomialUpperTail(5, 12, 0.3) + binomialUpperTail(8, 12, 0.7)).toBeCloseTo(1, 12);
  });

  it('cannot reach a significance level with too few trials', () => {
    expect(leastCorrect(4, 0.05)).toBeUndefined();
    expect(leastCorrect(5, 0.05)).toBe(5);
    expect(leastCorrect(6, 0.01)).toBeUndefined();
  });

  it('tests a preference on both sides', () => {
    // scipy.stats.binomtest(k, n).pvalue, SciPy 1.17.1
    expect(signTestProbability(12, 4)).toBeCloseTo(0.076812744140625, 12);
    expect(signTestProbability(4, 12)).toBeCloseTo(0.076812744140625, 12);
    expect(signTestProbability(20, 5)).toBeCloseTo(0.004077315330505371, 12);
    expect(signTestProbability(8, 8)).toBe(1);
  });

  it('refuses counts that are not possible', () => {
    expect(() => guessingProbability(1, 2.5)).toThrow(RangeError);
    expect(() => guessingProbability(1.5, 2)).toThrow(RangeError);
    expect(() => binomialUpperTail(1, 2, 1.1)).toThrow(RangeError);
    expect(() => signTestProbability(-1, 2)).toThrow(RangeError);
  });
});

describe('the plan of a blind test', () => {
  it.each(POWER)('of %i trials states the probability that listeners pass', (trials, ...expected) => {
    const { power } = blindTestPlan(trials);
    expect(power.map(({ rightShare }) => rightShare)).toEqual([0.7, 0.8, 0.9]);
    for (const [index, passes] of expected.entries()) expect(power[index]!.passes).toBeCloseTo(passes, 9);
  });

  it('states when the trials are too few', () => {
    expect(blindTestPlan(4).leastCorrectAt5Percent).toBeUndefined();
    expect(blindTestPlan(4).text).toMatch(/cannot show a difference/);
    expect(blindTestPlan(16).text).toMatch(/12 right answers .* 80 % of tests if you hear it 8 times in 10/);
  });
});

describe('a blind test', () => {
  it('holds nothing that shows which build has which name', () => {
    const answers: BlindAnswer[] = ['a', 'b', 'b', 'a'];
    // The visible state is made without the key: two tests with opposite keys look the same.
    const [one, other] = [() => false, () => true].map((toss) => {
      const key = new BlindTestKey(toss);
      let test = startBlindTest('abx', answers.length);
      for (const answer of answers) {
        key.source('abx', currentTrial(test)!, 'x');
        test = answerTrial(test, answer);
      }
      return { test, key };
    });
    expect(JSON.stringify(one!.test)).toBe(JSON.stringify(other!.test));
    expect(JSON.stringify(one!.key)).toBe('{}');
    expect(blindTestOutcome(one!.test, one!.key).correct).toBe(2);
    expect(blindTestOutcome(one!.test, one!.key).trials.map(({ hidden }) => hidden)).not.toEqual(
      blindTestOutcome(other!.test, other!.key).trials.map(({ hidden }) => hidden),
    );
  });

  it('counts every right answer of a listener who hears it, and about half of a guesser', () => {
    const key = new BlindTestKey(tosses(4));
    let test = startBlindTest('abx', 100);
    while (!isFinished(test))
      test = answerTrial(test, key.source('abx', currentTrial(test)!, 'x') as 'a' | 'b');
    expect(blindTestOutcome(test, key)).toMatchObject({ correct: 100 });
    const guesses = tosses(9);
    const guessed = play(
      'abx',
      Array.from({ length: 100 }, () => (guesses() ? 'a' : 'b')),
    );
    const { correct } = blindTestOutcome(guessed, new BlindTestKey(tosses(4)));
    // Four standard deviations of 100 random choices.
    expect(Math.abs(correct! - 50)).toBeLessThan(20);
  });

  it('plays A and B from their own buttons and keeps X the same within a trial', () => {
    const key = new BlindTestKey(tosses(1));
    expect(key.source('abx', 0, 'a')).toBe('a');
    expect(key.source('abx', 0, 'b')).toBe('b');
    for (let trial = 0; trial < 20; trial++) {
      expect(key.source('abx', trial, 'x')).toBe(key.source('abx', trial, 'x'));
    }
    expect(new Set(Array.from({ length: 20 }, (_, trial) => key.source('abx', trial, 'x'))).size).toBe(2);
  });

  it('repeats a void trial with a new random choice and keeps the reason', () => {
    const bits = [true, false, true];
    const key = new BlindTestKey(() => bits.shift()!);
    let test = startBlindTest('abx', 2);
    expect(key.source('abx', currentTrial(test)!, 'x')).toBe('b');
    test = voidTrial(test, 'limiter active');
    expect(answeredTrials(test)).toBe(0);
    expect(key.source('abx', currentTrial(test)!, 'x')).toBe('a');
    test = answerTrial(answerTrial(test, 'a'), 'a');
    const outcome = blindTestOutcome(test, key);
    expect(outcome.trials).toEqual([
      { hidden: 'a', answer: 'a', chosen: 'a' },
      { hidden: 'b', answer: 'a', chosen: 'a' },
    ]);
    expect(outcome).toMatchObject({ correct: 1, voided: ['limiter active'] });
  });

  it('has no result before its end and takes no answer after it', () => {
    const key = new BlindTestKey(tosses(1));
    const half = answerTrial(startBlindTest('abx', 2), 'a');
    expect(() => blindTestOutcome(half, key)).toThrow(/before all/);
    const whole = answerTrial(half, 'b');
    expect(currentTrial(whole)).toBeUndefined();
    expect(() => answerTrial(whole, 'a')).toThrow(RangeError);
    expect(() => voidTrial(whole, 'listener')).toThrow(RangeError);
  });

  it('refuses answers and buttons of the other kind of test, and an impossible number of trials', () => {
    expect(() => answerTrial(startBlindTest('abx', 5), '1')).toThrow(RangeError);
    expect(() => answerTrial(startBlindTest('preference', 5), 'a')).toThrow(RangeError);
    expect(() => new BlindTestKey(tosses(1)).source('preference', 0, 'x')).toThrow(RangeError);
    for (const trials of [0, 2.5, 101]) expect(() => startBlindTest('abx', trials)).toThrow(RangeError);
  });

  it('counts preferences for each build, whatever its name in the trial was', () => {
    const bits = [false, true, true, false];
    const key = new BlindTestKey(() => bits.shift()!);
    // 1 is A, B, B, A: the answers 1, 2, 2, 1 choose A each time.
    const outcome = blindTestOutcome(play('preference', ['1', '2', '2', '1']), key);
    expect(outcome.preferred).toEqual({ a: 4, b: 0 });
    expect(outcome.chanceProbability).toBeCloseTo(2 / 16, 12);
  });
});

describe('the report of a blind test', () => {
  const a = presetBuild('soft-plain');
  const b = { ...a, parts: { ...a.parts, D1: { type: '1N34A' } } };
  const subject = { a, b, source: 'guitar-fifths', gainOfBDb: -1.25, finishedAt: '2026-01-02T03:04:05Z' };
  const report = (correct: number, trials: number) => {
    const answers = Array.from(
      { length: trials },
      (_, index) => (index < correct ? 'a' : 'b') as BlindAnswer,
    );
    return blindTestReport(subject, blindTestOutcome(play('abx', answers), new BlindTestKey(() => false)));
  };

  it('says what a result means and what it does not mean', () => {
    expect(report(14, 16).sentences.join(' ')).toMatch(
      /14 of 16 right.*0\.21 % .*very likely heard.*does not say/,
    );
    expect(report(10, 16).sentences.join(' ')).toMatch(
      /23 % .*did not show.*does not show that there is none/,
    );
  });

  it('contains both builds, so that the test can be repeated', () => {
    const file = JSON.parse(blindTestJson(report(14, 16))) as {
      correct: number;
      builds: { a: unknown; b: unknown };
    };
    expect(file.correct).toBe(14);
    expect(parseBuildFile(JSON.stringify(file.builds.b))).toEqual(b);
    expect(parseBuildFile(JSON.stringify(file.builds.a))).toEqual(a);
  });

  it('is written as text with the swap, the gain and every trial', () => {
    const text = blindTestText(report(14, 16));
    expect(text).toContain('D1: 1N4148 -> 1N34A');
    expect(text).toContain('-1.25 dB');
    expect(text).toContain('16. X was A, answered B');
    expect(text).toContain('guitar-fifths');
  });

  it('tells two circuits apart by parts with the same job', () => {
    const { outcome } = report(14, 16);
    const text = blindTestText(blindTestReport({ ...subject, b: presetBuild('clean-plain') }, outcome));
    expect(text).toContain('Two circuits: Soft clip and Clean blend.');
    expect(text).toContain('gain resistor: R4 4k7 to R4 2k2');
    expect(text).toContain('Summing, the whole stage: R8 22k');
  });
});
