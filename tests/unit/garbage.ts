import { PerformanceObserver } from 'node:perf_hooks';
import { setTimeout } from 'node:timers/promises';

/** One number of 16 bytes allocated for each of 128 samples is 40 MB, more than a young generation holds. */
const BLOCKS = 20_000;
/**
 * V8 counts numbers as garbage until it has compiled what makes them for good, beside the test and on a busy machine
 * late; code that allocates does so in every round.
 */
const MOST_ROUNDS = 8;

/**
 * Garbage collections while a block of audio is processed over and over: the least of several rounds, since what else
 * runs may cause one.
 *
 * @param process One block of 128 samples.
 */
export async function leastCollections(process: () => void): Promise<number> {
  let count = 0;
  const observer = new PerformanceObserver((list) => {
    count += list.getEntries().length;
  });
  observer.observe({ entryTypes: ['gc'] });
  for (let block = 0; block < BLOCKS / 10; block++) process();
  let least = Number.POSITIVE_INFINITY;
  for (let round = 0; round < MOST_ROUNDS && least > 0; round++) {
    await setTimeout(20);
    count = 0;
    for (let block = 0; block < BLOCKS; block++) process();
    await setTimeout(20);
    least = Math.min(least, count);
  }
  observer.disconnect();
  return least;
}
