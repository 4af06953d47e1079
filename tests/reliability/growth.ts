import { cpuSeconds } from './cpu-time.ts';

/** The longer input is this many times as long; work that grows with the square takes 64 times as long. */
const FACTOR = 8;
/** Half-way between 8 and 64, by ratio: proportional work takes 8 times as long, or less. */
const MOST_RATIO = 22;
const MOST_ROUNDS = 12;
/** Shorter runs are repeated, so that the clock's resolution does not matter. */
const LEAST_SECONDS = 0.005;

/**
 * Whether work grows no faster than its input: an input and one that is eight times as long are run alternately, and
 * the smallest processor time of each counts, because other programs can only add time.
 *
 * @param run Work on an input of this length. @param length Length of the shorter one.
 */
export function growsInProportion(run: (length: number) => void, length: number): boolean {
  const repeats = repeatsOf(() => run(length));
  let [short, long] = [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY];
  for (let round = 0; round < MOST_ROUNDS; round++) {
    short = Math.min(
      short,
      timeOf(() => run(length), repeats),
    );
    long = Math.min(
      long,
      timeOf(() => run(FACTOR * length), repeats),
    );
    if (round > 0 && long <= MOST_RATIO * short) return true;
  }
  return false;
}

function repeatsOf(work: () => void): number {
  let repeats = 1;
  while (timeOf(work, repeats) < LEAST_SECONDS && repeats < 1e6) repeats *= 2;
  return repeats;
}

function timeOf(work: () => void, repeats: number): number {
  return cpuSeconds(() => {
    for (let n = 0; n < repeats; n++) work();
  }).seconds;
}
