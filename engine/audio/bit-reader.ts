/** Reads a byte array bit by bit, most significant bit first. Past the end it reads zeros and says so. */
export class BitReader {
  readonly #bytes: Uint8Array;
  #bit = 0;

  constructor(bytes: Uint8Array, atByte: number) {
    this.#bytes = bytes;
    this.#bit = 8 * atByte;
  }

  /** Byte that the next bit lies in. */
  get byte(): number {
    return this.#bit >> 3;
  }

  get pastEnd(): boolean {
    return this.#bit > 8 * this.#bytes.length;
  }

  alignToByte(): void {
    this.#bit = (this.#bit + 7) & ~7;
  }

  /** Unsigned number of 0 to 32 bits. */
  unsigned(bits: number): number {
    let value = 0;
    let left = bits;
    while (left > 0) {
      const within = this.#bit & 7;
      const take = Math.min(left, 8 - within);
      const byte = this.#bytes[this.#bit >> 3] ?? 0;
      // multiplied, not shifted, so that 32 bits stay positive
      value = value * (1 << take) + ((byte >> (8 - within - take)) & ((1 << take) - 1));
      this.#bit += take;
      left -= take;
    }
    return value;
  }

  /** Two's complement number of 1 to 33 bits. */
  signed(bits: number): number {
    const high = this.unsigned(1);
    const low = this.unsigned(bits - 1);
    return high === 1 ? low - 2 ** (bits - 1) : low;
  }

  /** Number of zeros before the next one, which is read too. */
  unary(): number {
    const end = 8 * this.#bytes.length;
    let zeros = 0;
    while (this.#bit < end) {
      const byte = (this.#bytes[this.#bit >> 3] ?? 0) << (24 + (this.#bit & 7));
      const found = Math.clz32(byte);
      const left = 8 - (this.#bit & 7);
      if (found < left) {
        this.#bit += found + 1;
        return zeros + found;
      }
      zeros += left;
      this.#bit += left;
    }
    this.#bit = end + 1;
    return zeros;
  }
}
