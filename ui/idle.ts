/** Delay in browsers without idle callbacks. */
const FALLBACK_MS = 60;

/** Runs a task when the page is idle. @returns A function that cancels it. */
export function whenIdle(task: () => void): () => void {
  if (typeof requestIdleCallback !== 'function') {
    const timer = setTimeout(task, FALLBACK_MS);
    return () => clearTimeout(timer);
  }
  const request = requestIdleCallback(task);
  return () => cancelIdleCallback(request);
}
