/**
 * Greatest of the last `window` values, by a queue of falling values: on average two comparisons a value,
 * at most `window`.
 *
 * @see D. Lemire, "Streaming maximum-minimum filter using no more than three comparisons per element",
 *   Nordic Journal of Computing 13(4), 2006
 */
export class SlidingMaximum {
  readonly #window: number;
  readonly #values: Float64Array;
  /** When each queued value came in, counted in values. */
  readonly #times: Float64Array;
  /** Front of the queue and its length. Whole-number arrays keep loop counters from being allocated. */
  readonly #queue = new Int32Array(2);
  /** Values seen. */
  readonly #seen = new Float64Array(1);

  /** @param window Number of values looked back over, the present one included, ≥ 1. */
  constructor(window: number) {
    if (!(window >= 1)) throw new RangeError(`window of ${window} values must hold at least one`);
    this.#window = window;
    this.#values = new Float64Array(window);
    this.#times = new Float64Array(window);
  }

  /**
   * Replaces each value by the greatest of the window that ends with it (of all values so far until the
   * window is full). A block at a time, since a number handed over singly may be allocated. Real-time safe.
   */
  process(signal: Float64Array, frames: number): void {
    const window = this.#window;
    const values = this.#values;
    const times = this.#times;
    let front = this.#queue[0]!;
    let length = this.#queue[1]!;
    let now = this.#seen[0]!;
    for (let n = 0; n < frames; n++) {
      if (length > 0 && times[front]! <= now - window) {
        front = front + 1 === window ? 0 : front + 1;
        length--;
      }
      const value = signal[n]!;
      let back = front + length >= window ? front + length - window : front + length;
      while (length > 0) {
        const previous = back === 0 ? window - 1 : back - 1;
        if (values[previous]! > value) break;
        back = previous;
        length--;
      }
      values[back] = value;
      times[back] = now;
      length++;
      now++;
      signal[n] = values[front]!;
    }
    this.#queue[0] = front;
    this.#queue[1] = length;
    this.#seen[0] = now;
  }

  reset(): void {
    this.#queue.fill(0);
    this.#seen.fill(0);
  }
}
