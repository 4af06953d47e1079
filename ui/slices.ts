import type { Slices } from '../engine/audio/slices.ts';

/** Longest slice: shorter than a frame. */
const STRETCH_MS = 10;

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

/** A message to oneself: timers wait for 4 ms, and in a page that is out of sight for a second. */
function nextTask(): Promise<void> {
  return new Promise((resolve) => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = () => {
      port1.close();
      resolve();
    };
    port2.postMessage(undefined);
  });
}
