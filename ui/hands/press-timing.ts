/** A second press within a third of a second belongs to the first, ms. Longer than a double press of a foot takes, about a quarter; common practice, no source. */
export const SECOND_PRESS_MS = 333;
/** A press is long from here, ms: a usual one of a foot lasts 0.1 to 0.3 s. Common practice, no source. */
export const LONG_PRESS_MS = 600;

/** Contacts bounce for less, and no foot presses twice within it, ms. Common practice, no source. */
export const BOUNCE_MS = 60;

/**
 * Tells the presses of one switch apart. Nothing waits: the first press counts at once, and what turns out to be a
 * second or a long one takes it back. Has no clock of its own.
 */
export class PressTiming {
  #isDown = false;
  #downAtMs = Number.NEGATIVE_INFINITY;
  /** Of a first press that nothing has followed yet. */
  #firstAtMs: number | undefined;

  /** @returns Undefined for contacts that bounce: nothing was pressed again. */
  down(atMs: number): 'first' | 'second' | undefined {
    this.#isDown = true;
    if (atMs - this.#downAtMs < BOUNCE_MS) return undefined;
    this.#downAtMs = atMs;
    const sinceMs = atMs - (this.#firstAtMs ?? Number.NEGATIVE_INFINITY);
    const isSecond = sinceMs <= SECOND_PRESS_MS;
    this.#firstAtMs = isSecond ? undefined : atMs;
    return isSecond ? 'second' : 'first';
  }

  up(): void {
    this.#isDown = false;
  }

  /** To be asked when the press may have become long. @returns True once for each long press. */
  isLong(atMs: number): boolean {
    // A sum of two times, as the one who asks makes it: a difference of times may be too small by rounding.
    const isLong = this.#isDown && this.#firstAtMs !== undefined && atMs >= this.#firstAtMs + LONG_PRESS_MS;
    if (isLong) this.#firstAtMs = undefined;
    return isLong;
  }
}
