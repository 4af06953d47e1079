import { binomialUpperTail, leastCorrect } from './binomial.ts';

/** Significance levels, usual and strict: the share of guessers that pass. */
export const USUAL_LEVEL = 0.05;
const STRICT_LEVEL = 0.01;
/** Listeners for whom the chance to pass is stated, by their share of right answers. */
const LISTENERS = [0.7, 0.8, 0.9] as const;

/** What a number of trials of an ABX test can show, before the first one. */
export interface BlindTestPlan {
  readonly trials: number;
  /** Right answers for p ≤ 0.05 and p ≤ 0.01; undefined if there are too few trials. */
  readonly leastCorrectAt5Percent: number | undefined;
  readonly leastCorrectAt1Percent: number | undefined;
  /** Chance to pass at 5 % for a listener with this share of right answers. */
  readonly power: readonly { readonly rightShare: number; readonly passes: number }[];
  /** The same in one or two sentences. */
  readonly text: string;
}

/** @throws RangeError for a number of trials that is not whole. */
export function blindTestPlan(trials: number): BlindTestPlan {
  const least = leastCorrect(trials, USUAL_LEVEL);
  const power = LISTENERS.map((rightShare) => ({
    rightShare,
    passes: least === undefined ? 0 : binomialUpperTail(least, trials, rightShare),
  }));
  return {
    trials,
    leastCorrectAt5Percent: least,
    leastCorrectAt1Percent: leastCorrect(trials, STRICT_LEVEL),
    power,
    text: planText(trials, least, power),
  };
}

function planText(trials: number, least: number | undefined, power: BlindTestPlan['power']): string {
  if (least === undefined) {
    return `${trials} ${trials === 1 ? 'trial' : 'trials'} cannot show a difference: by guessing, all are right in more than 1 of 20 tests.`;
  }
  const chances = power
    .map(
      ({ rightShare, passes }) => `${percent(passes)} of tests if you hear it ${10 * rightShare} times in 10`,
    )
    .join(', ');
  return `With ${trials} trials, ${least} right answers are needed. You pass ${chances}.`;
}

/** A probability as text: two decimals below 1 %, none above 10 %. */
export function percent(share: number): string {
  const value = 100 * share;
  if (value > 0 && value < 0.01) return 'less than 0.01 %';
  if (value > 99.9 && value < 100) return 'more than 99.9 %';
  return `${value < 1 ? value.toFixed(2) : value < 10 ? value.toFixed(1) : value.toFixed(0)} %`;
}
