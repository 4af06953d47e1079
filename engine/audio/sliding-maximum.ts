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
  /** Front of the queue, its length, values seen. */
  readonly #state = new Float64Array(3);

  /** @param window Number of values looked back over, the present one included, ≥ 1. */
  constructor(window: number) {
    if (!(window >= 1)) throw new RangeError(`window of ${window} values must hold at least one`);
    this.#window = window;
    this.#values = new Float64Array(window);
    this.#times = new Float64Array(window);
  }

  /** Takes one value, returns the greatest of the window (of all values so far until it is full). Real-time safe. */
  next(value: number): number {
    const window = this.#window;
    const values = this.#values;
    const times = this.#times;
    let front = this.#state[0]!;
    let length = this.#state[1]!;
    const now = this.#state[2]!;
    if (length > 0 && times[front]! <= now - window) {
      front = front + 1 === window ? 0 : front + 1;
      length--;
    }
    let back = wrap(front + length, window);
    while (length > 0) {
      const previous = back === 0 ? window - 1 : back - 1;
      if (values[previous]! > value) break;
      back = previous;
      length--;
    }
    values[back] = value;
    times[back] = now;
    this.#state[0] = front;
    this.#state[1] = length + 1;
    this.#state[2] = now + 1;
    return values[front]!;
  }

  reset(): void {
    this.#state.fill(0);
  }
}

function wrap(index: number, length: number): number {
  return index >= length ? index - length : index;
}
