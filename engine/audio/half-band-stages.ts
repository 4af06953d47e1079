/** One doubling or halving of the sample rate each: the running filters of half-band.ts. */
import type { AllpassHalfBand } from './half-band.ts';

/** A stage of the cascade. `frames` counts samples of the lower rate. Real-time safe. */
export interface RateStage {
  process(input: Float64Array, frames: number, output: Float64Array): void;
  reset(): void;
}

/** States smaller than this are set to zero: subnormal numbers are slow, and 1e-30 V is negligible. */
const TINY = 1e-30;

/**
 * Two chains of allpass sections (a + z⁻¹) / (1 + a z⁻¹), run section by section over a block. A section
 * waits for its own last output, so one of each chain shares a loop: the two keep the processor busy.
 */
class AllpassPair {
  readonly #first: Float64Array;
  readonly #second: Float64Array;
  /** Last input and last output of each section. */
  readonly #firstState: Float64Array;
  readonly #secondState: Float64Array;

  constructor(first: Float64Array, second: Float64Array) {
    this.#first = first;
    this.#second = second;
    this.#firstState = new Float64Array(2 * first.length);
    this.#secondState = new Float64Array(2 * second.length);
  }

  /** Both signals are filtered in place. */
  process(first: Float64Array, second: Float64Array, frames: number): void {
    const pairs = Math.min(this.#first.length, this.#second.length);
    for (let section = 0; section < pairs; section++) this.#processPair(section, first, second, frames);
    for (let section = pairs; section < this.#first.length; section++) {
      processSection(this.#first[section]!, this.#firstState, section, first, frames);
    }
    for (let section = pairs; section < this.#second.length; section++) {
      processSection(this.#second[section]!, this.#secondState, section, second, frames);
    }
  }

  #processPair(section: number, first: Float64Array, second: Float64Array, frames: number): void {
    const a = this.#first[section]!;
    const b = this.#second[section]!;
    const at = 2 * section;
    let xa = this.#firstState[at]!;
    let ya = this.#firstState[at + 1]!;
    let xb = this.#secondState[at]!;
    let yb = this.#secondState[at + 1]!;
    for (let n = 0; n < frames; n++) {
      const x = first[n]!;
      const w = second[n]!;
      // this order leaves one product and one difference between successive outputs
      ya = a * x + xa - a * ya;
      yb = b * w + xb - b * yb;
      if (ya < TINY && ya > -TINY) ya = 0;
      if (yb < TINY && yb > -TINY) yb = 0;
      xa = x;
      xb = w;
      first[n] = ya;
      second[n] = yb;
    }
    this.#firstState[at] = xa;
    this.#firstState[at + 1] = ya;
    this.#secondState[at] = xb;
    this.#secondState[at + 1] = yb;
  }

  reset(): void {
    this.#firstState.fill(0);
    this.#secondState.fill(0);
  }
}

function processSection(
  a: number,
  state: Float64Array,
  section: number,
  signal: Float64Array,
  frames: number,
): void {
  let xa = state[2 * section]!;
  let ya = state[2 * section + 1]!;
  for (let n = 0; n < frames; n++) {
    const x = signal[n]!;
    ya = a * x + xa - a * ya;
    if (ya < TINY && ya > -TINY) ya = 0;
    xa = x;
    signal[n] = ya;
  }
  state[2 * section] = xa;
  state[2 * section + 1] = ya;
}

/** Doubles the rate: even output samples come from A0, odd ones from A1. */
export class AllpassUpStage implements RateStage {
  readonly #chains: AllpassPair;
  readonly #even: Float64Array;
  readonly #odd: Float64Array;

  constructor(filter: AllpassHalfBand, maxFrames: number) {
    this.#chains = new AllpassPair(filter.even, filter.odd);
    this.#even = new Float64Array(maxFrames);
    this.#odd = new Float64Array(maxFrames);
  }

  process(input: Float64Array, frames: number, output: Float64Array): void {
    const even = this.#even;
    const odd = this.#odd;
    for (let n = 0; n < frames; n++) {
      even[n] = input[n]!;
      odd[n] = input[n]!;
    }
    this.#chains.process(even, odd, frames);
    for (let n = 0; n < frames; n++) {
      output[2 * n] = even[n]!;
      output[2 * n + 1] = odd[n]!;
    }
  }

  reset(): void {
    this.#chains.reset();
  }
}

/**
 * Halves the rate, keeping the output at the odd instants: after AllpassUpStage the round trip is then
 * A0·A1 at the lower rate, an allpass without any ripple.
 */
export class AllpassDownStage implements RateStage {
  readonly #chains: AllpassPair;
  readonly #even: Float64Array;
  readonly #odd: Float64Array;

  constructor(filter: AllpassHalfBand, maxFrames: number) {
    this.#chains = new AllpassPair(filter.odd, filter.even);
    this.#even = new Float64Array(maxFrames);
    this.#odd = new Float64Array(maxFrames);
  }

  process(input: Float64Array, frames: number, output: Float64Array): void {
    const even = this.#even;
    const odd = this.#odd;
    for (let n = 0; n < frames; n++) {
      even[n] = input[2 * n]!;
      odd[n] = input[2 * n + 1]!;
    }
    this.#chains.process(even, odd, frames);
    for (let n = 0; n < frames; n++) output[n] = 0.5 * (even[n]! + odd[n]!);
  }

  reset(): void {
    this.#chains.reset();
  }
}

/**
 * The outer taps of a linear-phase half-band as a symmetric filter at the lower rate:
 * y[n] = Σ taps[k] (x[n − k] + x[n − (2K − 1) + k]), with its history kept in front of the block.
 */
class SymmetricFilter {
  readonly #taps: Float64Array;
  readonly #history: number;
  readonly #buffer: Float64Array;

  /** @param delay Additional delay of the whole filter, samples. */
  constructor(taps: Float64Array, delay: number, maxFrames: number) {
    this.#taps = taps;
    this.#history = 2 * taps.length - 1 + delay;
    this.#buffer = new Float64Array(this.#history + maxFrames);
  }

  /** Where the caller puts the block: buffer[history + n] is sample n. */
  get buffer(): Float64Array {
    return this.#buffer;
  }

  get history(): number {
    return this.#history;
  }

  /** Writes gain · y[n] to output[n · stride] for the block in the buffer, then keeps its tail. */
  process(frames: number, gain: number, output: Float64Array, stride: number): void {
    const taps = this.#taps;
    const buffer = this.#buffer;
    const count = taps.length;
    const span = 2 * count - 1;
    let n = 0;
    // four samples at a time share each tap and sum independently; the order of each sum stays the same
    for (; n + 3 < frames; n += 4) {
      let sum0 = 0;
      let sum1 = 0;
      let sum2 = 0;
      let sum3 = 0;
      let low0 = buffer[n]!;
      let low1 = buffer[n + 1]!;
      let low2 = buffer[n + 2]!;
      let high1 = buffer[n + span + 1]!;
      let high2 = buffer[n + span + 2]!;
      let high3 = buffer[n + span + 3]!;
      for (let k = 0; k < count; k++) {
        const tap = taps[k]!;
        const low3 = buffer[n + k + 3]!;
        const high0 = buffer[n + span - k]!;
        sum0 += tap * (low0 + high0);
        sum1 += tap * (low1 + high1);
        sum2 += tap * (low2 + high2);
        sum3 += tap * (low3 + high3);
        low0 = low1;
        low1 = low2;
        low2 = low3;
        high3 = high2;
        high2 = high1;
        high1 = high0;
      }
      const at = n * stride;
      output[at] = gain * sum0;
      output[at + stride] = gain * sum1;
      output[at + 2 * stride] = gain * sum2;
      output[at + 3 * stride] = gain * sum3;
    }
    for (; n < frames; n++) {
      let sum = 0;
      for (let k = 0; k < count; k++) sum += taps[k]! * (buffer[n + k]! + buffer[n + span - k]!);
      output[n * stride] = gain * sum;
    }
  }

  keepTail(frames: number): void {
    this.#buffer.copyWithin(0, frames, frames + this.#history);
  }

  reset(): void {
    this.#buffer.fill(0);
  }
}

/** Doubles the rate: even samples from the outer taps, odd ones are the input, delayed. */
export class FirUpStage implements RateStage {
  readonly #filter: SymmetricFilter;
  readonly #middle: number;

  constructor(taps: Float64Array, maxFrames: number) {
    this.#filter = new SymmetricFilter(taps, 0, maxFrames);
    this.#middle = taps.length;
  }

  process(input: Float64Array, frames: number, output: Float64Array): void {
    const buffer = this.#filter.buffer;
    const history = this.#filter.history;
    for (let n = 0; n < frames; n++) buffer[history + n] = input[n]!;
    this.#filter.process(frames, 2, output, 2);
    for (let n = 0; n < frames; n++) output[2 * n + 1] = buffer[this.#middle + n]!;
    this.#filter.keepTail(frames);
  }

  reset(): void {
    this.#filter.reset();
  }
}

/** Halves the rate: even samples through the outer taps plus half the middle (odd) sample. */
export class FirDownStage implements RateStage {
  readonly #filter: SymmetricFilter;
  readonly #odd: Float64Array;
  readonly #oddHistory: number;

  /** @param delay Additional delay, samples of the lower rate. */
  constructor(taps: Float64Array, delay: number, maxFrames: number) {
    this.#filter = new SymmetricFilter(taps, delay, maxFrames);
    this.#oddHistory = taps.length + delay;
    this.#odd = new Float64Array(this.#oddHistory + maxFrames);
  }

  process(input: Float64Array, frames: number, output: Float64Array): void {
    const even = this.#filter.buffer;
    const history = this.#filter.history;
    const odd = this.#odd;
    for (let n = 0; n < frames; n++) {
      even[history + n] = input[2 * n]!;
      odd[this.#oddHistory + n] = input[2 * n + 1]!;
    }
    this.#filter.process(frames, 1, output, 1);
    for (let n = 0; n < frames; n++) output[n] = output[n]! + 0.5 * odd[n]!;
    this.#filter.keepTail(frames);
    odd.copyWithin(0, frames, frames + this.#oddHistory);
  }

  reset(): void {
    this.#filter.reset();
    this.#odd.fill(0);
  }
}
