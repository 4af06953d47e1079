let asked: Promise<void> | undefined;

/**
 * Asks the browser, once a visit, not to delete stored data when the disk is full. To be called after a user's
 * gesture: some browsers ask the user.
 */
export function askToPersist(): Promise<void> {
  asked ??= persist();
  return asked;
}

async function persist(): Promise<void> {
  try {
    if (!(await navigator.storage.persisted())) await navigator.storage.persist();
  } catch {
    // Without the interface, or after a refusal, the browser decides how long data stay.
  }
}
