/** So much of the last playing is kept. */
const RECENT_SECONDS = 6;

/** The last seconds of the dry input, V, over which the levels of a swap are matched. `write` is real-time safe. */
export class RecentInput {
  readonly #ring: Float32Array<ArrayBuffer>;
  /** Frames written since the start, or since `forget`. */
  readonly #count = new Float64Array(1);

  constructor(sampleRateHz: number) {
    this.#ring = new Float32Array(Math.round(RECENT_SECONDS * sampleRateHz));
  }

  /** What came before is of another source, or in other volts. */
  forget(): void {
    this.#count[0] = 0;
  }

  write(volts: Float64Array, frames: number): void {
    const ring = this.#ring;
    let at = this.#count[0]! % ring.length;
    for (let frame = 0; frame < frames; frame++) {
      ring[at] = volts[frame]!;
      at++;
      if (at === ring.length) at = 0;
    }
    this.#count[0] = this.#count[0]! + frames;
  }

  /** In the order in which it was played; shorter if less has been played. Allocates. */
  read(): Float32Array<ArrayBuffer> {
    const ring = this.#ring;
    const count = this.#count[0]!;
    if (count <= ring.length) return ring.slice(0, count);
    const at = count % ring.length;
    const recent = new Float32Array(ring.length);
    recent.set(ring.subarray(at));
    recent.set(ring.subarray(0, at), ring.length - at);
    return recent;
  }
}
