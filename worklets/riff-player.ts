/** Fade at the end of a loop and at every other jump; long enough not to click. Common practice. */
export const SEAM_SECONDS = 0.005;

/** Indices in `#state`. */
const START = 0;
const END = 1;
/** Next sample of the riff, and of what is still fading out. */
const PLACE = 2;
const TAIL = 3;
const FADE_LEFT = 4;
const PASSES = 5;

/** A position before any sample: reads the input, also during a fade. */
const INPUT = Number.NEGATIVE_INFINITY;

/**
 * Plays a riff in a loop from one frame up to another, without a click. At a jump from e to s:
 *
 *   y[k] = g[k]·x[s + k] + (1 − g[k])·x[e + k],   g[k] = ½ − ½ cos(π (k + ½)/F),   0 ≤ k < F
 *
 * with F frames of fade, so that the loop is exactly e − s frames long. The fade uses samples after the end, so
 * the end stays F frames before the last sample. `play`, `trim` and `stop` must be
 * called from a message handler; `process` is real-time safe.
 */
export class RiffPlayer {
  readonly #fadeFrames: number;
  readonly #fadeGains: Float64Array;
  #samples = new Float32Array(0);
  /** Those of what is fading out. */
  #tailSamples = this.#samples;
  readonly #state = new Float64Array([0, 0, INPUT, INPUT, 0, 0]);

  /** Throws RangeError for a rate that is not positive. */
  constructor(sampleRateHz: number) {
    if (!(sampleRateHz > 0)) throw new RangeError(`riff: rate ${sampleRateHz} Hz must be positive`);
    const frames = Math.max(1, Math.round(SEAM_SECONDS * sampleRateHz));
    this.#fadeFrames = frames;
    this.#fadeGains = Float64Array.from(
      { length: frames },
      (_, k) => 0.5 - 0.5 * Math.cos((Math.PI * (k + 0.5)) / frames),
    );
  }

  /** Whether it replaces the input: it plays, or fades out. */
  get isActive(): boolean {
    return this.#state[PLACE]! !== INPUT || this.#state[FADE_LEFT]! > 0;
  }

  /** Whole loops since the start. */
  get passes(): number {
    return this.#state[PASSES]!;
  }

  /** Played share of the loop, 0 to 1; 0 when stopped. */
  get share(): number {
    const state = this.#state;
    const length = state[END]! - state[START]!;
    return state[PLACE] === INPUT || length <= 0 ? 0 : (state[PLACE]! - state[START]!) / length;
  }

  /** Starts from the first frame, with a fade from the present sound. @param samples Volts; kept, not copied. */
  play(samples: Float32Array<ArrayBuffer>, startFrame: number, endFrame: number): void {
    // Stopped just now, it has not begun to fade.
    if (this.#state[FADE_LEFT] !== this.#fadeFrames) this.#leave();
    this.#samples = samples;
    this.#setBounds(startFrame, endFrame);
    this.#state[PASSES] = 0;
    this.#state[PLACE] = this.#state[START]!;
  }

  /** Moves the ends of the loop while it plays; a position that is now outside jumps to the first frame. */
  trim(startFrame: number, endFrame: number): void {
    this.#setBounds(startFrame, endFrame);
    const place = this.#state[PLACE]!;
    if (place === INPUT) return;
    if (place < this.#state[START]! || place >= this.#state[END]!) this.#jump(this.#state[START]!);
  }

  stop(): void {
    if (this.#state[PLACE] !== INPUT) this.#jump(INPUT);
  }

  #setBounds(startFrame: number, endFrame: number): void {
    const last = Math.max(this.#fadeFrames, this.#samples.length - this.#fadeFrames);
    const end = Math.min(Math.max(Math.round(endFrame), this.#fadeFrames), last);
    this.#state[END] = end;
    // No loop is shorter than its fade.
    this.#state[START] = Math.min(Math.max(0, Math.round(startFrame)), end - this.#fadeFrames);
  }

  #jump(to: number): void {
    this.#leave();
    this.#state[PLACE] = to;
  }

  #leave(): void {
    this.#tailSamples = this.#samples;
    this.#state[TAIL] = this.#state[PLACE]!;
    this.#state[FADE_LEFT] = this.#fadeFrames;
  }

  /** @param output The input, V; the riff replaces it while it plays. Real-time safe. */
  process(output: Float64Array, frames: number): void {
    const state = this.#state;
    for (let frame = 0; frame < frames; frame++) {
      if (state[PLACE] === INPUT && state[FADE_LEFT] === 0) return;
      output[frame] = this.#next(output[frame]!);
    }
  }

  #next(input: number): number {
    const state = this.#state;
    if (state[PLACE]! >= state[END]!) {
      this.#jump(state[START]!);
      state[PASSES] = state[PASSES]! + 1;
    }
    let sample = read(this.#samples, state[PLACE]!, input);
    if (state[FADE_LEFT]! > 0) {
      const gain = this.#fadeGains[this.#fadeFrames - state[FADE_LEFT]!]!;
      sample = gain * sample + (1 - gain) * read(this.#tailSamples, state[TAIL]!, input);
      state[TAIL] = state[TAIL]! + 1;
      state[FADE_LEFT] = state[FADE_LEFT]! - 1;
    }
    state[PLACE] = state[PLACE]! + 1;
    return sample;
  }
}

function read(samples: Float32Array, place: number, input: number): number {
  if (place === INPUT) return input;
  return place >= 0 && place < samples.length ? samples[place]! : 0;
}
