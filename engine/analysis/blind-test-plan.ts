import { binomialUpperTail, leastCorrect } from './binomial.ts';

/** Share of guessers that pass at the usual level, and at a strict one. */
export const USUAL_LEVEL = 0.05;
const STRICT_LEVEL = 0.01;
/** Listeners for whom the chance to pass is stated, by the share of trials in which they are right. */
const LISTENERS = [0.7, 0.8, 0.9] as const;

/** What so many trials of an ABX test can show, before the first is heard. */
export interface BlindTestPlan {
  readonly trials: number;
  /** Right answers for p ≤ 0.05 and p ≤ 0.01; undefined where so few trials cannot reach it. */
  readonly leastCorrectAt5Percent: number | undefined;
  readonly leastCorrectAt1Percent: number | undefined;
  /** How likely a listener who is right in this share of all trials passes at 5 %. */
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
    return `${trials} ${trials === 1 ? 'trial' : 'trials'} can show nothing: even a guesser gets all of them right more often than one time in twenty.`;
  }
  const chances = power
    .map(
      ({ rightShare, passes }) =>
        `${percent(passes)} of listeners who are right ${percent(rightShare)} of the time`,
    )
    .join(', ');
  return `With ${trials} trials, ${least} right answers are needed. It is passed by ${chances}; the others fail although they hear something.`;
}

/** A probability for reading: two figures below a percent, none above ten. */
export function percent(share: number): string {
  const value = 100 * share;
  if (value > 0 && value < 0.01) return 'less than 0.01 %';
  if (value > 99.9 && value < 100) return 'more than 99.9 %';
  return `${value < 1 ? value.toFixed(2) : value < 10 ? value.toFixed(1) : value.toFixed(0)} %`;
}
