import { PerformanceObserver } from 'node:perf_hooks';
import { setImmediate } from 'node:timers/promises';
import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import { expect } from 'vitest';

/** Blocks of audio in one round. */
const BLOCKS = 50_000;
/** V8 compiles in threads of its own, on a busy machine late: more rounds are played until one leaves little. */
const MOST_ROUNDS = 10;
/** Limit for one block: less than one number, which takes 16. V8 itself keeps up to 9 bytes a block, about 450 kB in a round. */
const MOST_BYTES = 12;

/** The memory that remains on the heap, or was cleared from it, while a round of blocks was processed. */
export interface Garbage {
  /** Garbage collections during the round. */
  readonly collections: number;
  /** Bytes that each block leaves on the heap; one number, the smallest allocation, is 16. */
  readonly heapBytes: number;
  /** Bytes of typed arrays that each block leaves: their memory is outside the young generation. */
  readonly arrayBytes: number;
}

export interface GarbageOptions {
  /** Blocks of a round; fewer only for work much slower than one block of audio. */
  readonly blocks?: number;
  /** A round that leaves fewer bytes a block is the last. */
  readonly mostBytes?: number;
}

/**
 * Garbage of every round of this many blocks, after the code is compiled; the last round is the first that leaves little.
 *
 * A round is one synchronous run that begins with an empty young generation, so nothing else can allocate during it. A
 * collection alone would not show a few bytes a block: the young generation holds 16 MB. The growth of the heap shows
 * them.
 *
 * @param process One block of audio.
 */
export async function garbageOf(
  process: () => void,
  { blocks = BLOCKS, mostBytes = MOST_BYTES }: GarbageOptions = {},
): Promise<readonly Garbage[]> {
  const times: number[] = [];
  const observer = new PerformanceObserver((list) => {
    for (const { startTime } of list.getEntries()) times.push(startTime);
  });
  observer.observe({ entryTypes: ['gc'] });
  const rounds: Garbage[] = [];
  // V8 leaves numbers on the heap until it has compiled their code in the final form.
  run(process, blocks);
  do rounds.push(await garbageOfRound(process, blocks, times));
  while (rounds.length < MOST_ROUNDS && rounds.at(-1)!.heapBytes >= mostBytes);
  observer.disconnect();
  return rounds;
}

async function garbageOfRound(process: () => void, blocks: number, times: number[]): Promise<Garbage> {
  collect();
  const before = memory();
  const begin = performance.now();
  run(process, blocks);
  const end = performance.now();
  const after = memory();
  // Node reports collections later and in their order: one more collection marks the end.
  collect();
  while (!times.some((time) => time > end)) await setImmediate();
  return {
    collections: times.filter((time) => time >= begin && time <= end).length,
    heapBytes: (after.heapUsed - before.heapUsed) / blocks,
    arrayBytes: (after.arrayBuffers - before.arrayBuffers) / blocks,
  };
}

/** The round that leaves least counts: what a block allocates comes in each round, what V8 compiles meanwhile in some. */
export function expectNoGarbage(rounds: readonly Garbage[], mostBytes = MOST_BYTES): void {
  const [least] = [...rounds].sort((one, other) => one.heapBytes - other.heapBytes);
  expect(least!.collections).toBe(0);
  expect(least!.heapBytes).toBeLessThan(mostBytes);
  expect(least!.arrayBytes).toBeLessThan(1);
}

function run(process: () => void, blocks: number): void {
  for (let block = 0; block < blocks; block++) process();
}

function memory() {
  return process.memoryUsage();
}

setFlagsFromString('--expose-gc');
const collect = runInNewContext('gc') as () => void;
