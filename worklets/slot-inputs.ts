import { BiquadCascade } from '../engine/audio/biquad.ts';
import { FilterFade, NO_FILTER } from '../engine/audio/filter-fade.ts';
import type { Slot } from './bench-messages.ts';

/** Input of each build: the same, or with a correction for each build, which is faded in and out. */
export class SlotInputs {
  /** Volts; the input array itself while neither build is corrected. Replaced with every block. */
  a: Float64Array;
  b: Float64Array;
  readonly #corrected: Readonly<Record<Slot, CorrectedInput>>;

  /** @param maxFrames Longest block. */
  constructor(sampleRateHz: number, maxFrames: number) {
    this.#corrected = {
      a: new CorrectedInput(sampleRateHz, maxFrames),
      b: new CorrectedInput(sampleRateHz, maxFrames),
    };
    this.a = new Float64Array(maxFrames);
    this.b = this.a;
  }

  /** @param coefficients b0, b1, b2, a1, a2 of each section; empty for none. Allocates. */
  correct(slot: Slot, coefficients: Float64Array): void {
    this.#corrected[slot].setFilter(coefficients);
  }

  /** One block. Real-time safe. */
  process(volts: Float64Array, frames: number): void {
    this.a = this.#corrected.a.process(volts, frames);
    this.b = this.#corrected.b.process(volts, frames);
  }
}

class CorrectedInput {
  readonly #volts: Float64Array;
  readonly #fade: FilterFade;

  constructor(sampleRateHz: number, maxFrames: number) {
    this.#volts = new Float64Array(maxFrames);
    this.#fade = new FilterFade(NO_FILTER, sampleRateHz, maxFrames);
  }

  setFilter(coefficients: Float64Array): void {
    const count = coefficients.length / 5;
    const sections = Array.from({ length: count }, (_, index) => {
      const [b0 = 1, b1 = 0, b2 = 0, a1 = 0, a2 = 0] = coefficients.subarray(5 * index, 5 * index + 5);
      return { b0, b1, b2, a1, a2 };
    });
    this.#fade.fadeTo(count > 0 ? new BiquadCascade(sections) : NO_FILTER);
  }

  process(volts: Float64Array, frames: number): Float64Array {
    return this.#fade.processed(volts, frames, this.#volts);
  }
}
