/**
 * Hands out Float64Arrays one behind the other in a buffer. Two circuits of the same structure that allocate
 * in the same order have the same addresses, which is how emitted code finds its numbers.
 */
export class Arena {
  #buffer: ArrayBuffer;
  #next = 0;

  constructor(buffer: ArrayBuffer) {
    this.#buffer = buffer;
  }

  get usedBytes(): number {
    return this.#next;
  }

  /** @throws RangeError where the buffer is full. */
  allocate(length: number): Float64Array {
    const array = new Float64Array(this.#buffer, this.#next, length);
    this.#next += length * Float64Array.BYTES_PER_ELEMENT;
    return array;
  }
}
