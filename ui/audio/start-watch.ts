/** A start takes well under a second; on a busy machine a few. */
const PATIENCE_MS = 5000;

/** Notices that sound does not start: a context without an output waits silently. */
export class StartWatch {
  #timer: ReturnType<typeof setTimeout> | undefined;
  #isOverdue = false;

  /** Whether the start takes too long and is still not complete. */
  get isOverdue(): boolean {
    return this.#isOverdue;
  }

  /** @param onOverdue Called once it takes too long, with the likely reason and what to do. */
  begin(onOverdue: (reason: string) => void): void {
    this.end();
    this.#timer = setTimeout(() => {
      this.#isOverdue = true;
      onOverdue(reasonOfSilence());
    }, PATIENCE_MS);
  }

  /** Sound has started, or was cancelled. */
  end(): void {
    clearTimeout(this.#timer);
    this.#isOverdue = false;
  }
}

/** Browsers do not say why. A page without a click may not play sound. */
function reasonOfSilence(): string {
  return (navigator.userActivation?.hasBeenActive ?? true)
    ? 'Sound does not start: there is no output, or another program holds it. Connect headphones or the audio interface, choose it in the sound settings of the system, then press Listen.'
    : 'Sound does not start: this browser waits for a click on the page. Press Listen.';
}
