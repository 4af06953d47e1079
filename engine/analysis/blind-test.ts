/**
 * Blind tests of two builds, as pure state. {@link BlindTest} has what the screen may show. {@link
 * BlindTestKey} says which build is which; only the audio path reads it, and the result after the last answer.
 */
import { guessingProbability, signTestProbability } from './binomial.ts';

/**
 * abx: X is A or B, and the listener says which. preference: A and B under the names 1 and 2, and the listener says
 * which is liked better.
 */
export type BlindTestKind = 'abx' | 'preference';

/** What can be listened to in each kind of test. */
export type BlindButton = 'a' | 'b' | 'x' | '1' | '2';
/** What can be answered: A or B in an ABX test, 1 or 2 in a preference test. */
export type BlindAnswer = 'a' | 'b' | '1' | '2';

const ANSWERS: Readonly<Record<BlindTestKind, readonly BlindAnswer[]>> = {
  abx: ['a', 'b'],
  preference: ['1', '2'],
};
const BUTTONS: Readonly<Record<BlindTestKind, readonly BlindButton[]>> = {
  abx: ['a', 'b', 'x'],
  preference: ['1', '2'],
};

/** Most trials of one test; ears tire long before. */
export const MOST_TRIALS = 100;

/** Why a trial does not count: something other than the swap could have given the answer. */
export type VoidReason = 'input clipped' | 'limiter active' | 'circuit reset' | 'levels apart' | 'listener';

/** One presentation: answered, void, or (the last one only) under way. */
export interface BlindTrial {
  readonly answer?: BlindAnswer;
  readonly voided?: VoidReason;
}

/** The visible part of a test. Nothing in it depends on which build is which, or on whether an answer was right. */
export interface BlindTest {
  readonly kind: BlindTestKind;
  /** Number of trials, fixed before the first one. */
  readonly plannedTrials: number;
  /** Every presentation so far; a void one is repeated. */
  readonly trials: readonly BlindTrial[];
}

/** A source of fair coin tosses: the page's cryptographic one, or a repeatable one in tests. */
export type RandomBit = () => boolean;

/** @throws RangeError unless the number of trials is whole, 1 to {@link MOST_TRIALS}. */
export function startBlindTest(kind: BlindTestKind, plannedTrials: number): BlindTest {
  if (!(Number.isInteger(plannedTrials) && plannedTrials >= 1 && plannedTrials <= MOST_TRIALS)) {
    throw new RangeError(`a blind test has 1 to ${MOST_TRIALS} trials, not ${plannedTrials}`);
  }
  return { kind, plannedTrials, trials: [{}] };
}

export function answeredTrials(test: BlindTest): number {
  return test.trials.filter(({ answer }) => answer !== undefined).length;
}

export function isFinished(test: BlindTest): boolean {
  return answeredTrials(test) === test.plannedTrials;
}

/** Index of the presentation under way, undefined when all is answered. */
export function currentTrial(test: BlindTest): number | undefined {
  return isFinished(test) ? undefined : test.trials.length - 1;
}

/** @throws RangeError for an answer of another kind of test, and when all is answered. */
export function answerTrial(test: BlindTest, answer: BlindAnswer): BlindTest {
  if (!ANSWERS[test.kind].includes(answer))
    throw new RangeError(`"${answer}" is not an answer of a ${test.kind} test`);
  return endTrial(test, { answer });
}

/** Ends the presentation without an answer; it is repeated with a new toss. @throws RangeError as above. */
export function voidTrial(test: BlindTest, reason: VoidReason): BlindTest {
  return endTrial(test, { voided: reason });
}

function endTrial(test: BlindTest, ended: BlindTrial): BlindTest {
  if (isFinished(test)) throw new RangeError('all trials of this blind test are answered');
  const trials = [...test.trials.slice(0, -1), ended];
  const next = { ...test, trials };
  return isFinished(next) ? next : { ...next, trials: [...trials, {}] };
}

/**
 * Which build is which in each presentation, chosen at random at the first request. For the audio path only:
 * nothing on the screen may depend on it before the end.
 */
export class BlindTestKey {
  readonly #toss: RandomBit;
  readonly #isB: boolean[] = [];

  constructor(toss: RandomBit) {
    this.#toss = toss;
  }

  /**
   * The build behind a button in a presentation.
   *
   * @param trial Index from 0. @throws RangeError for a button of another kind of test.
   */
  source(kind: BlindTestKind, trial: number, button: BlindButton): 'a' | 'b' {
    if (!BUTTONS[kind].includes(button)) throw new RangeError(`a ${kind} test has no button "${button}"`);
    if (button === 'a' || button === 'b') return button;
    while (this.#isB.length <= trial) this.#isB.push(this.#toss());
    // X is random; so is 1, and 2 is the other build.
    return this.#isB[trial] === (button !== '2') ? 'b' : 'a';
  }
}

/** An answered presentation with its solution. */
export interface RevealedTrial {
  /** The build that X was, or that 1 was. */
  readonly hidden: 'a' | 'b';
  readonly answer: BlindAnswer;
  /** The build that was named (abx) or preferred. */
  readonly chosen: 'a' | 'b';
}

/** Result of a finished test. */
export interface BlindTestOutcome {
  readonly kind: BlindTestKind;
  readonly trials: readonly RevealedTrial[];
  readonly voided: readonly VoidReason[];
  /** abx: number of right answers. */
  readonly correct?: number;
  /** preference: how often each build was preferred. */
  readonly preferred?: { readonly a: number; readonly b: number };
  /** One-sided for abx, two-sided for preference: how likely chance alone does this. */
  readonly chanceProbability: number;
}

/** @throws RangeError before all trials are answered. */
export function blindTestOutcome(test: BlindTest, key: BlindTestKey): BlindTestOutcome {
  if (!isFinished(test))
    throw new RangeError('a blind test has no result before all its trials are answered');
  const { kind } = test;
  const trials = test.trials.flatMap(({ answer }, index): RevealedTrial[] => {
    if (answer === undefined) return [];
    const hidden = key.source(kind, index, kind === 'abx' ? 'x' : '1');
    return [{ hidden, answer, chosen: key.source(kind, index, answer) }];
  });
  const voided = test.trials.flatMap(({ voided: reason }) => reason ?? []);
  if (kind === 'abx') {
    const correct = trials.filter(({ hidden, chosen }) => hidden === chosen).length;
    return { kind, trials, voided, correct, chanceProbability: guessingProbability(correct, trials.length) };
  }
  const a = trials.filter(({ chosen }) => chosen === 'a').length;
  const b = trials.length - a;
  return { kind, trials, voided, preferred: { a, b }, chanceProbability: signTestProbability(a, b) };
}
