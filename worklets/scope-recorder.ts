/**
 * Channels of a scope frame, one after the other: the input, A and B at the probe, and A and B at the net where they clip, V.
 * The last two are NaN where that net is not watched.
 */
export const SCOPE_CHANNELS = { input: 0, a: 1, b: 2, clippedA: 3, clippedB: 4 } as const;
/** Samples of each channel, oldest first: three periods of a guitar's lowest string at 48 kHz, and time to trigger. */
export const SCOPE_FRAMES = 4096;
export const SCOPE_LENGTH = 5 * SCOPE_FRAMES;

/** What a voice gives the scope, V. */
export interface ScopeVoice {
  readonly probed: Float64Array;
  readonly watched: Float64Array;
}

/** The last moments of input, A and B, kept on the audio thread for the page to look at. */
export class ScopeRecorder {
  /** The input is kept for longer, since it is shown delayed by what the builds' outputs come later. */
  readonly #length: number;
  readonly #delaySamples: number;
  readonly #input: Float32Array;
  readonly #a: Float32Array;
  readonly #b: Float32Array;
  readonly #clippedA: Float32Array;
  readonly #clippedB: Float32Array;
  /** Index of the next sample. */
  readonly #place = new Int32Array(1);

  /** @param delaySamples Whole samples by which A and B lag the input. */
  constructor(delaySamples: number) {
    this.#delaySamples = delaySamples;
    this.#length = SCOPE_FRAMES + delaySamples;
    this.#input = new Float32Array(this.#length);
    this.#a = new Float32Array(this.#length);
    this.#b = new Float32Array(this.#length);
    this.#clippedA = new Float32Array(this.#length);
    this.#clippedB = new Float32Array(this.#length);
  }

  /** Takes the samples of one block. Real-time safe. */
  write(input: Float64Array, a: ScopeVoice, b: ScopeVoice, frames: number): void {
    let place = this.#place[0]!;
    for (let frame = 0; frame < frames; frame++) {
      this.#input[place] = input[frame]!;
      this.#a[place] = a.probed[frame]!;
      this.#b[place] = b.probed[frame]!;
      this.#clippedA[place] = a.watched[frame]!;
      this.#clippedB[place] = b.watched[frame]!;
      place = place + 1 === this.#length ? 0 : place + 1;
    }
    this.#place[0] = place;
  }

  /** Fills a scope frame, {@link SCOPE_LENGTH} long, from its start. Real-time safe. */
  read(target: Float32Array): void {
    // The next sample will replace the oldest one.
    let inputPlace = this.#place[0]!;
    let place = (inputPlace + this.#delaySamples) % this.#length;
    for (let n = 0; n < SCOPE_FRAMES; n++) {
      target[n] = this.#input[inputPlace]!;
      target[SCOPE_FRAMES + n] = this.#a[place]!;
      target[2 * SCOPE_FRAMES + n] = this.#b[place]!;
      target[3 * SCOPE_FRAMES + n] = this.#clippedA[place]!;
      target[4 * SCOPE_FRAMES + n] = this.#clippedB[place]!;
      inputPlace = inputPlace + 1 === this.#length ? 0 : inputPlace + 1;
      place = place + 1 === this.#length ? 0 : place + 1;
    }
  }
}
