let asked: Promise<void> | undefined;

/**
 * Asks the browser, once a visit, not to throw away what is kept when the disk runs short. To be called after a
 * gesture: some browsers put the question to the user.
 */
export function askToPersist(): Promise<void> {
  asked ??= persist();
  return asked;
}

async function persist(): Promise<void> {
  try {
    if (!(await navigator.storage.persisted())) await navigator.storage.persist();
  } catch {
    // Without the interface, or where it is refused, things are kept as long as the browser sees fit.
  }
}
