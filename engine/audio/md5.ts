/**
 * MD5 of bytes that come in pieces, for the checksum that FLAC files carry; it is no protection against intended changes.
 * @see RFC 1321
 */
export class Md5 {
  readonly #state = Int32Array.of(0x67452301, 0xefcdab89, 0x98badcfe, 0x10325476);
  readonly #block = new Uint8Array(64);
  readonly #words = new Int32Array(16);
  #filled = 0;
  #length = 0;

  update(bytes: Uint8Array): void {
    this.#length += bytes.length;
    for (let at = 0; at < bytes.length; ) {
      const count = Math.min(64 - this.#filled, bytes.length - at);
      this.#block.set(bytes.subarray(at, at + count), this.#filled);
      this.#filled += count;
      at += count;
      if (this.#filled === 64) this.#takeBlock();
    }
  }

  /** The digest of all bytes so far, hexadecimal; nothing may be added after it. */
  digest(): string {
    const bits = 8 * this.#length;
    const padding = new Uint8Array((this.#filled < 56 ? 56 : 120) - this.#filled + 8);
    padding[0] = 0x80;
    const view = new DataView(padding.buffer);
    view.setUint32(padding.length - 8, bits % 2 ** 32, true);
    view.setUint32(padding.length - 4, Math.floor(bits / 2 ** 32), true);
    this.update(padding);
    const digits = (word: number) =>
      [0, 8, 16, 24].map((by) => ((word >>> by) & 255).toString(16).padStart(2, '0'));
    return [...this.#state].flatMap(digits).join('');
  }

  #takeBlock(): void {
    this.#filled = 0;
    const block = this.#block;
    for (let n = 0; n < 16; n++)
      this.#words[n] =
        block[4 * n]! | (block[4 * n + 1]! << 8) | (block[4 * n + 2]! << 16) | (block[4 * n + 3]! << 24);
    const state = this.#state;
    const words = this.#words;
    let [a, b, c, d] = [state[0]!, state[1]!, state[2]!, state[3]!];
    for (let step = 0; step < 64; step++) {
      const round = step >> 4;
      let mixed = (b & c) | (~b & d);
      if (round === 1) mixed = (d & b) | (~d & c);
      else if (round === 2) mixed = b ^ c ^ d;
      else if (round === 3) mixed = c ^ (b | ~d);
      const sum = (a + mixed + SINES[step]! + words[WORD[step]!]!) | 0;
      const by = SHIFTS[step]!;
      a = d;
      d = c;
      c = b;
      b = (b + ((sum << by) | (sum >>> (32 - by)))) | 0;
    }
    this.#state[0]! += a;
    this.#state[1]! += b;
    this.#state[2]! += c;
    this.#state[3]! += d;
  }
}

/** RFC 1321 section 3.4: 2^32 · |sin(step + 1)|, rounded down. */
const SINES = Int32Array.from({ length: 64 }, (_, step) =>
  Math.floor(2 ** 32 * Math.abs(Math.sin(step + 1))),
);
/** Section 3.4: by how much each step turns, and the word that it takes. */
const SHIFTS = perStep(
  (round, step) => [7, 12, 17, 22, 5, 9, 14, 20, 4, 11, 16, 23, 6, 10, 15, 21][4 * round + (step & 3)]!,
);
const WORD = perStep((round, step) => ([1, 5, 3, 7][round]! * step + [0, 1, 5, 0][round]!) & 15);

function perStep(value: (round: number, step: number) => number): Int32Array {
  return Int32Array.from({ length: 64 }, (_, step) => value(step >> 4, step));
}
