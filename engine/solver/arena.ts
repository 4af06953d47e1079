/**
 * Allocates Float64Arrays one after the other in a buffer. Two circuits of the same structure allocate in the
 * same order and so have the same addresses; emitted code relies on that.
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

  /** @throws RangeError if the buffer is full. */
  allocate(length: number): Float64Array {
    const array = new Float64Array(this.#buffer, this.#next, length);
    this.#next += length * Float64Array.BYTES_PER_ELEMENT;
    return array;
  }
}
