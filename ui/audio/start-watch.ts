/** A start takes well under a second; with everything else at work, a few. */
const PATIENCE_MS = 5000;

/** Notices that sound was asked to start and does not: a context without an output waits for one without a word. */
export class StartWatch {
  #timer: ReturnType<typeof setTimeout> | undefined;
  #isOverdue = false;

  /** Whether the start has taken too long, and has not ended yet. */
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

  /** Sound has started, or is no longer wanted. */
  end(): void {
    clearTimeout(this.#timer);
    this.#isOverdue = false;
  }
}

/** Browsers do not say why; a page that nobody has touched may not sound. */
function reasonOfSilence(): string {
  return (navigator.userActivation?.hasBeenActive ?? true)
    ? 'Sound does not start: there is no output, or another program holds it. Connect headphones or the audio interface, choose it in the sound settings of the system, then press Listen.'
    : 'Sound does not start: this browser waits for a click on the page. Press Listen.';
}
