/**
 * Waits for a result of the page, the storage or the sound; a busy machine takes seconds for it.
 *
 * @param what Words for the error after the time limit; a function if they report the progress.
 */
export async function until(
  what: string | (() => string),
  isSo: () => boolean | Promise<boolean>,
  seconds = 15,
): Promise<void> {
  const end = performance.now() + 1000 * seconds;
  while (!(await isSo())) {
    if (performance.now() > end)
      throw new Error(`in ${seconds} seconds: not ${typeof what === 'string' ? what : what()}`);
    await new Promise((resolve) => setTimeout(resolve, 20));
  }
}

/** Lets the page draw this many frames. */
export async function framesDrawn(count: number): Promise<void> {
  for (let frame = 0; frame < count; frame++) await new Promise((resolve) => requestAnimationFrame(resolve));
}
