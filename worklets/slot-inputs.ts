import { BiquadCascade } from '../engine/audio/biquad.ts';
import { type OversamplerOptions, Upsampler } from '../engine/audio/oversampler.ts';
import type { Slot } from './bench-messages.ts';

/** What each build is fed at the circuits' rate: the same, or each with a correction of its own ahead. */
export class SlotInputs {
  /** Volts at the oversampled rate; one array while neither build is corrected. Replaced as that changes. */
  a: Float64Array;
  b: Float64Array;
  readonly #shared: Upsampler;
  readonly #dense: Float64Array;
  readonly #corrected: Readonly<Record<Slot, CorrectedInput>>;
  #isCorrected = false;

  constructor(options: OversamplerOptions) {
    const { factor, maxFrames } = options;
    this.#shared = new Upsampler(options);
    this.#dense = new Float64Array(maxFrames * factor);
    this.#corrected = { a: new CorrectedInput(options), b: new CorrectedInput(options) };
    this.a = this.#dense;
    this.b = this.#dense;
  }

  /** @param coefficients b0, b1, b2, a1, a2 of each section; empty for none. Allocates. */
  correct(slot: Slot, coefficients: Float64Array): void {
    this.#corrected[slot].setFilter(coefficients);
    this.#isCorrected = this.#corrected.a.isCorrecting || this.#corrected.b.isCorrecting;
    this.a = this.#isCorrected ? this.#corrected.a.dense : this.#dense;
    this.b = this.#isCorrected ? this.#corrected.b.dense : this.#dense;
  }

  /** One block. Real-time safe. */
  process(volts: Float64Array, frames: number): void {
    if (this.#isCorrected) {
      this.#corrected.a.process(volts, frames);
      this.#corrected.b.process(volts, frames);
    } else {
      this.#shared.process(volts, frames, this.#dense);
    }
  }
}

class CorrectedInput {
  readonly dense: Float64Array;
  readonly #upsampler: Upsampler;
  readonly #volts: Float64Array;
  #filter: BiquadCascade | undefined;

  constructor(options: OversamplerOptions) {
    this.dense = new Float64Array(options.maxFrames * options.factor);
    this.#upsampler = new Upsampler(options);
    this.#volts = new Float64Array(options.maxFrames);
  }

  get isCorrecting(): boolean {
    return this.#filter !== undefined;
  }

  setFilter(coefficients: Float64Array): void {
    const count = coefficients.length / 5;
    const sections = Array.from({ length: count }, (_, index) => {
      const [b0 = 1, b1 = 0, b2 = 0, a1 = 0, a2 = 0] = coefficients.subarray(5 * index, 5 * index + 5);
      return { b0, b1, b2, a1, a2 };
    });
    this.#filter = count > 0 ? new BiquadCascade(sections) : undefined;
  }

  process(volts: Float64Array, frames: number): void {
    if (this.#filter) this.#filter.process(volts, frames, this.#volts);
    this.#upsampler.process(this.#filter ? this.#volts : volts, frames, this.dense);
  }
}
