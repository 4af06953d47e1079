import type { CapturedChunk } from './bench-messages.ts';

/** A captured riff is at most so long. */
export const LONGEST_RIFF_SECONDS = 60;
/** So many frames leave at once, about six times a second. */
const CHUNK_FRAMES = 8192;

/**
 * Gathers the dry input into chunks and hands them out as they fill, from one buffer. `start` and `stop` belong
 * into a message handler. `process` allocates nothing of its own; what handing a chunk over costs is the port's.
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
  /** Frames captured, frames that may still come. */
  readonly #state = new Float64Array(2);

  constructor(sampleRateHz: number, emit: (chunk: CapturedChunk) => void) {
    this.#sampleRateHz = sampleRateHz;
    this.#emit = emit;
  }

  /** Length of what is or was last captured. */
  get seconds(): number {
    return this.#state[0]! / this.#sampleRateHz;
  }

  start(): void {
    this.#chunk.frames = 0;
    this.#state[0] = 0;
    this.#state[1] = Math.round(LONGEST_RIFF_SECONDS * this.#sampleRateHz);
  }

  /** Hands out the rest, as the last chunk. Does nothing where nothing is captured. */
  stop(): void {
    if (this.#state[1] === 0) return;
    this.#state[1] = 0;
    this.#hand(true);
  }

  /** @param volts The input, V. Ends by itself when the riff is as long as it may be. */
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
