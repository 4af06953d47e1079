/** The clocks are compared over so long, and so often at least: a single reading may come late. */
const WINDOW_SECONDS = 2;
const FEWEST_READINGS = 3;
/** Smaller gaps are steps of the audio clock, not audible gaps. Common practice, no source. */
const LEAST_GAP_SECONDS = 0.02;
/** A longer stop is counted as so many gaps at most. */
const MOST_GAPS = 20;

/**
 * Gaps in the sound, for a browser that counts none: the audio clock stops during a gap and so falls behind
 * real time. In each window the reading that is least behind counts, since the page may read late.
 */
export class ClockGaps {
  #gaps = 0;
  #behindBefore: number | undefined;
  #behind = Number.POSITIVE_INFINITY;
  #readings = 0;
  #windowEnd: number | undefined;

  /** @returns Gaps since the first reading. */
  read(wallSeconds: number, audioSeconds: number): number {
    this.#windowEnd ??= wallSeconds + WINDOW_SECONDS;
    this.#behind = Math.min(this.#behind, wallSeconds - audioSeconds);
    this.#readings++;
    if (wallSeconds >= this.#windowEnd && this.#readings >= FEWEST_READINGS) this.#endWindow(wallSeconds);
    return this.#gaps;
  }

  #endWindow(wallSeconds: number): void {
    const lost = this.#behind - (this.#behindBefore ?? this.#behind);
    if (lost >= LEAST_GAP_SECONDS) this.#gaps += Math.min(MOST_GAPS, Math.round(lost / LEAST_GAP_SECONDS));
    this.#behindBefore = this.#behind;
    this.#behind = Number.POSITIVE_INFINITY;
    this.#readings = 0;
    this.#windowEnd = wallSeconds + WINDOW_SECONDS;
  }
}
