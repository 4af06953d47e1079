/** Browsers without idle callbacks wait so long instead. */
const FALLBACK_MS = 60;

/** Runs a task once nothing more urgent is to be done. @returns What calls it off. */
export function whenIdle(task: () => void): () => void {
  if (typeof requestIdleCallback !== 'function') {
    const timer = setTimeout(task, FALLBACK_MS);
    return () => clearTimeout(timer);
  }
  const request = requestIdleCallback(task);
  return () => cancelIdleCallback(request);
}
