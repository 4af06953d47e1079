import type { Slices } from '../engine/audio/slices.ts';
import { nextTask } from './next-task.ts';

/** Longest slice: with the step that goes over it, half of a long task, 8 ms. */
const STRETCH_MS = 3;

/** Does work in slices and lets the page draw and hear in between. @throws What the work throws. */
export async function besidePage<Result>(work: Slices<Result>): Promise<Result> {
  for (let begun = performance.now(); ; ) {
    const { done, value } = work.next();
    if (done) return value;
    if (performance.now() - begun < STRETCH_MS) continue;
    await nextTask();
    begun = performance.now();
  }
}
