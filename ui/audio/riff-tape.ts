import type { CapturedChunk } from '../../worklets/bench-messages.ts';

/** Joins the chunks of a capture as they arrive from the audio thread. */
export class RiffTape {
  #chunks: Float32Array[] = [];
  #frames = 0;

  /** @returns The whole recording, V, after its last chunk. */
  receive({ samples, frames, isLast }: CapturedChunk): Float32Array<ArrayBuffer> | undefined {
    this.#chunks.push(samples.slice(0, frames));
    this.#frames += frames;
    if (!isLast) return undefined;
    const whole = new Float32Array(this.#frames);
    let at = 0;
    for (const chunk of this.#chunks) {
      whole.set(chunk, at);
      at += chunk.length;
    }
    this.#chunks = [];
    this.#frames = 0;
    return whole;
  }
}
