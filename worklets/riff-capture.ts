import type { CapturedChunk } from './bench-messages.ts';

/** Longest recording of a riff. */
export const LONGEST_RIFF_SECONDS = 60;
/** Frames of a chunk, about six a second. */
const CHUNK_FRAMES = 8192;

/**
 * Collects the dry input in chunks and sends each full one, from one buffer. `start` and `stop` must
 * be called from a message handler. `process` itself allocates nothing; sending a chunk may.
 */
export class RiffCapture {
  readonly #sampleRateHz: number;
  readonly #emit: (chunk: CapturedChunk) => void;
  readonly #chunk = {
    type: 'captured' as const,
    samples: new Float32Array(CHUNK_FRAMES),
    frames: 0,
    isLast: false,
  };
  /** Frames recorded, frames that remain. */
  readonly #state = new Float64Array(2);

  constructor(sampleRateHz: number, emit: (chunk: CapturedChunk) => void) {
    this.#sampleRateHz = sampleRateHz;
    this.#emit = emit;
  }

  /** Length of the present or last recording. */
  get seconds(): number {
    return this.#state[0]! / this.#sampleRateHz;
  }

  start(): void {
    this.#chunk.frames = 0;
    this.#state[0] = 0;
    this.#state[1] = Math.round(LONGEST_RIFF_SECONDS * this.#sampleRateHz);
  }

  /** Sends the rest as the last chunk. Does nothing if nothing is recorded. */
  stop(): void {
    if (this.#state[1] === 0) return;
    this.#state[1] = 0;
    this.#hand(true);
  }

  /** @param volts The input, V. Ends by itself at the longest length. */
  process(volts: Float64Array, frames: number): void {
    const state = this.#state;
    const chunk = this.#chunk;
    for (let frame = 0; frame < frames && state[1]! > 0; frame++) {
      chunk.samples[chunk.frames] = volts[frame]!;
      chunk.frames++;
      state[0] = state[0]! + 1;
      state[1] = state[1]! - 1;
      if (chunk.frames === CHUNK_FRAMES || state[1] === 0) this.#hand(state[1] === 0);
    }
  }

  #hand(isLast: boolean): void {
    this.#chunk.isLast = isLast;
    this.#emit(this.#chunk);
    this.#chunk.frames = 0;
  }
}
