/** A bound for what hangs, not for speed: a machine that is shared takes several times as long. A test may take twice this. */
const MOST_SECONDS = 90;

/**
 * Waits for a result of the page, the storage or the sound.
 *
 * @param what Words for the error after the time limit; a function if they report the progress.
 */
export async function until(
  what: string | (() => string),
  isSo: () => boolean | Promise<boolean>,
): Promise<void> {
  const end = performance.now() + 1000 * MOST_SECONDS;
  while (!(await isSo())) {
    if (performance.now() > end)
      throw new Error(`in ${MOST_SECONDS} seconds: not ${typeof what === 'string' ? what : what()}`);
    await new Promise((resolve) => setTimeout(resolve, 20));
  }
}

/** Lets the page draw this many frames. */
export async function framesDrawn(count: number): Promise<void> {
  for (let frame = 0; frame < count; frame++) await new Promise((resolve) => requestAnimationFrame(resolve));
}
