/** Common practice: long enough not to click, short enough to follow at once. */
const FADE_SECONDS = 0.02;
/** After this time a filter is empty: longer than a speaker's impulse response, far longer than any ringing. */
const RING_OUT_SECONDS = 0.3;

/** One channel in, one out; linear, so a fade before it is a fade after it. */
export interface LinearFilter {
  process(input: Float64Array, frames: number, output: Float64Array): void;
  reset(): void;
}

/** The identity filter. */
export const NO_FILTER: LinearFilter = {
  process(input, frames, output) {
    if (input !== output) for (let n = 0; n < frames; n++) output[n] = input[n]!;
  },
  reset() {},
};

/** Indices in the state of an outgoing filter: remaining samples of its fade, then of its ringing. */
const FADE_LEFT = 0;
const RING_LEFT = 1;

/** An outgoing filter with its state. */
interface LeftFilter {
  readonly filter: LinearFilter;
  readonly state: Float64Array;
}

/**
 * One filter of several, changed without a click: its input is faded out of the old one by half a cosine, and what is
 * taken from there goes into the new one. The old one rings out and is then emptied, so that it never plays an
 * old sound again. A change during a change starts from the present state.
 *
 * `fadeTo` belongs into a message handler; `process` is real-time safe.
 */
export class FilterFade {
  readonly #fadeSamples: number;
  readonly #ringSamples: number;
  readonly #faded: Float64Array;
  readonly #sum: Float64Array;
  /** Share of the input that the new filter gets. */
  readonly #rest: Float64Array;
  #filter: LinearFilter;
  #left: readonly LeftFilter[] = [];
  /** Whether the filter is heard alone and at full gain. */
  #isSettled = true;
  /** Whether nothing has been played yet. */
  #isFresh = true;

  /** @param first Heard from the first sample on. @param maxFrames Longest block. */
  constructor(first: LinearFilter, sampleRateHz: number, maxFrames: number) {
    this.#fadeSamples = Math.max(1, Math.round(FADE_SECONDS * sampleRateHz));
    this.#ringSamples = Math.round(RING_OUT_SECONDS * sampleRateHz);
    this.#faded = new Float64Array(maxFrames);
    this.#sum = new Float64Array(maxFrames);
    this.#rest = new Float64Array(maxFrames);
    this.#filter = first;
  }

  /** Changes to a filter; at once where nothing was played yet. Allocates. */
  fadeTo(filter: LinearFilter): void {
    if (filter === this.#filter) return;
    const others = this.#left.filter((each) => each.filter !== filter && each.state[RING_LEFT]! > 0);
    // A filter that still rings goes on from its present state.
    if (!this.#left.some((each) => each.filter === filter && each.state[RING_LEFT]! > 0)) filter.reset();
    const state = Float64Array.of(this.#fadeLeft(this.#shareOfFilter()), this.#ringSamples);
    this.#left = [...others, { filter: this.#filter, state }];
    this.#filter = filter;
    this.#isSettled = false;
    if (this.#isFresh) this.reset();
  }

  #shareOfFilter(): number {
    return this.#left.reduce((share, { state }) => share - this.#gain(state[FADE_LEFT]!), 1);
  }

  #gain(fadeLeft: number): number {
    return 0.5 - 0.5 * Math.cos((Math.PI * fadeLeft) / this.#fadeSamples);
  }

  /** Position of a gain in its fade. */
  #fadeLeft(gain: number): number {
    return (this.#fadeSamples / Math.PI) * Math.acos(1 - 2 * Math.min(1, Math.max(0, gain)));
  }

  /** @param output Length ≥ frames, overwritten; may be the input, which must be finite. Real-time safe. */
  process(input: Float64Array, frames: number, output: Float64Array): void {
    this.#isFresh = false;
    if (this.#isSettled) {
      this.#filter.process(input, frames, output);
      return;
    }
    const sum = this.#sum;
    const rest = this.#rest;
    for (let n = 0; n < frames; n++) {
      sum[n] = 0;
      rest[n] = 1;
    }
    let isSettled = true;
    for (let index = 0; index < this.#left.length; index++) {
      const left = this.#left[index]!;
      if (left.state[RING_LEFT]! <= 0) continue;
      this.#addLeft(left, input, frames);
      isSettled &&= left.state[RING_LEFT]! <= 0;
    }
    for (let n = 0; n < frames; n++) rest[n] = rest[n]! * input[n]!;
    this.#filter.process(rest, frames, rest);
    for (let n = 0; n < frames; n++) output[n] = sum[n]! + rest[n]!;
    this.#isSettled = isSettled;
  }

  /** As `process`, without a copy where there is no filter. @returns Where the result is: in the output, or the input itself. */
  processed(input: Float64Array, frames: number, output: Float64Array): Float64Array {
    if (this.#isSettled && this.#filter === NO_FILTER) {
      this.#isFresh = false;
      return input;
    }
    this.process(input, frames, output);
    return output;
  }

  /** Adds the output of an outgoing filter for its share of the input. */
  #addLeft({ filter, state }: LeftFilter, input: Float64Array, frames: number): void {
    const step = Math.PI / this.#fadeSamples;
    let left = state[FADE_LEFT]!;
    for (let n = 0; n < frames; n++) {
      left = left > 1 ? left - 1 : 0;
      const gain = left > 0 ? 0.5 - 0.5 * Math.cos(step * left) : 0;
      this.#rest[n]! -= gain;
      this.#faded[n] = gain * input[n]!;
    }
    state[FADE_LEFT] = left;
    filter.process(this.#faded, frames, this.#faded);
    for (let n = 0; n < frames; n++) this.#sum[n]! += this.#faded[n]!;
    if (left === 0) state[RING_LEFT]! -= frames;
    if (state[RING_LEFT]! <= 0) filter.reset();
  }

  /** Empties the filters and completes the last change. Real-time safe. */
  reset(): void {
    this.#filter.reset();
    for (let index = 0; index < this.#left.length; index++) {
      const { filter, state } = this.#left[index]!;
      filter.reset();
      state.fill(0);
    }
    this.#isSettled = true;
  }
}
