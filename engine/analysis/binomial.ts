/**
 * Probability of k or more successes in n independent trials that each succeed with probability p:
 *
 *   P(X ≥ k) = Σ_{i=k..n} C(n, i) p^i (1 − p)^(n−i)
 *
 * summed term by term, in logarithms so that n may be large; good to about 1e-12.
 *
 * @throws RangeError for counts that are not whole numbers from 0, or p outside 0 to 1.
 */
export function binomialUpperTail(successes: number, trials: number, probability: number): number {
  checkCount(trials);
  if (!Number.isInteger(successes)) throw new RangeError(`${successes} is not a number of successes`);
  if (!(probability >= 0 && probability <= 1)) throw new RangeError(`${probability} is not a probability`);
  if (successes <= 0) return 1;
  if (successes > trials || probability === 0) return 0;
  if (probability === 1) return 1;
  let sum = 0;
  let logarithm = 0;
  // From the top, so that the smallest terms are added first where p is at most a half.
  const odds = Math.log(probability / (1 - probability));
  logarithm = trials * Math.log(probability);
  for (let index = trials; index >= successes; index--) {
    sum += Math.exp(logarithm);
    logarithm += Math.log(index / (trials - index + 1)) - odds;
  }
  return Math.min(1, sum);
}

/** Probability that a guesser does as well or better in a forced choice of two: one-sided, p = 1/2. */
export function guessingProbability(correct: number, trials: number): number {
  return binomialUpperTail(correct, trials, 0.5);
}

/**
 * Smallest number of right answers that a guesser reaches with at most the given probability; undefined if even
 * all right answers are not enough.
 */
export function leastCorrect(trials: number, level: number): number | undefined {
  checkCount(trials);
  for (let correct = Math.ceil(trials / 2); correct <= trials; correct++) {
    if (guessingProbability(correct, trials) <= level) return correct;
  }
  return undefined;
}

/**
 * Probability that somebody without a preference divides as unevenly or more, in either direction: the exact two-sided
 * sign test, min(1, 2·P(X ≥ max(k, n − k))).
 */
export function signTestProbability(first: number, second: number): number {
  checkCount(first);
  checkCount(second);
  return Math.min(1, 2 * guessingProbability(Math.max(first, second), first + second));
}

function checkCount(count: number): void {
  if (!(Number.isInteger(count) && count >= 0)) throw new RangeError(`${count} is not a number of trials`);
}
