/**
 * Plays a signal and records the input at the same time. Samples written and read in the same block have the
 * same number, so the delay between the two is that of everything outside.
 */
export class LoopRecorder {
  /** The recording, from the first sample of the signal on and as long as the signal. */
  readonly recorded: Float32Array<ArrayBuffer>;
  readonly #signal: Float32Array;
  /** Number of the next sample, negative during the silence before the signal. */
  readonly #next = new Int32Array(1);

  /** @param leadInFrames Silence before the signal, in which a newly opened input starts. */
  constructor(signal: Float32Array, leadInFrames: number) {
    this.#signal = signal;
    this.recorded = new Float32Array(signal.length);
    this.#next[0] = -leadInFrames;
  }

  get isDone(): boolean {
    return this.#next[0]! >= this.#signal.length;
  }

  /** One block. Real-time safe. @param input Undefined for silence. @param output Overwritten. */
  process(input: Float32Array | undefined, output: Float32Array): void {
    const start = this.#next[0]!;
    for (let frame = 0; frame < output.length; frame++) {
      const at = start + frame;
      const isPlaying = at >= 0 && at < this.#signal.length;
      output[frame] = isPlaying ? this.#signal[at]! : 0;
      if (isPlaying) this.recorded[at] = input === undefined ? 0 : input[frame]!;
    }
    this.#next[0] = start + output.length;
  }
}
