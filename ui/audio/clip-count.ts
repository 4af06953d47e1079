/**
 * Clips of the input since somebody cleared them. The audio thread goes on counting: a blind test and the
 * recording of a riff use its differences.
 */
export class ClipCount {
  #counted = 0;
  #cleared = 0;

  /** @param counted By the audio thread, which begins at 0 again where the full scale has changed. */
  since(counted: number): number {
    if (counted < this.#counted) this.#cleared = 0;
    this.#counted = counted;
    return counted - this.#cleared;
  }

  clear(): void {
    this.#cleared = this.#counted;
  }
}
