/** Second-order sections: their running form and their response. */

/** H(z) = (b0 + b1 z⁻¹ + b2 z⁻²) / (1 + a1 z⁻¹ + a2 z⁻²). */
export interface Biquad {
  readonly b0: number;
  readonly b1: number;
  readonly b2: number;
  readonly a1: number;
  readonly a2: number;
}

/** States smaller than this are set to zero: subnormal numbers are slow, and 1e-30 V is negligible. */
const TINY = 1e-30;
/** b0, b1, b2, a1, a2. */
export const NUMBERS_PER_SECTION = 5;

/** Sections in a row, transposed direct form II, one channel. */
export class BiquadCascade {
  /** b0, b1, b2, a1, a2 of each section. */
  readonly #coefficients: Float64Array;
  /** Two states of each section. */
  readonly #state: Float64Array;
  readonly #sections: number;

  constructor(sections: readonly Biquad[]) {
    this.#sections = sections.length;
    this.#coefficients = Float64Array.from(
      sections.flatMap(({ b0, b1, b2, a1, a2 }) => [b0, b1, b2, a1, a2]),
    );
    this.#state = new Float64Array(2 * sections.length);
  }

  /**
   * @param input Length ≥ frames, finite: a non-finite sample stays in the filter until `reset`.
   * @param output Length ≥ frames, overwritten. May be the input.
   * Real-time safe.
   */
  process(input: Float64Array, frames: number, output: Float64Array): void {
    if (this.#sections === 0) for (let n = 0; n < frames; n++) output[n] = input[n]!;
    processSections(this.#coefficients, this.#state, this.#sections, input, frames, output);
  }

  reset(): void {
    this.#state.fill(0);
  }
}

/**
 * Runs sections in a row over a block. Real-time safe.
 *
 * @param coefficients b0, b1, b2, a1, a2 of each section.
 * @param state Two numbers for each section, 0 at the start. Updated.
 * @param output Overwritten. May be the input.
 */
export function processSections(
  coefficients: Float64Array,
  state: Float64Array,
  count: number,
  input: Float64Array,
  frames: number,
  output: Float64Array,
): void {
  for (let section = 0; section < count; section++) {
    processSection(coefficients, state, section, section === 0 ? input : output, frames, output);
  }
}

function processSection(
  coefficients: Float64Array,
  state: Float64Array,
  section: number,
  input: Float64Array,
  frames: number,
  output: Float64Array,
): void {
  const at = NUMBERS_PER_SECTION * section;
  const b0 = coefficients[at]!;
  const b1 = coefficients[at + 1]!;
  const b2 = coefficients[at + 2]!;
  const a1 = coefficients[at + 3]!;
  const a2 = coefficients[at + 4]!;
  let s1 = state[2 * section]!;
  let s2 = state[2 * section + 1]!;
  for (let n = 0; n < frames; n++) {
    const x = input[n]!;
    const y = b0 * x + s1;
    s1 = b1 * x - a1 * y + s2;
    s2 = b2 * x - a2 * y;
    // both together: they nearly cancel at low frequencies, and flushing one alone would excite the other
    if (s1 < TINY && s1 > -TINY && s2 < TINY && s2 > -TINY) {
      s1 = 0;
      s2 = 0;
    }
    output[n] = y;
  }
  state[2 * section] = s1;
  state[2 * section + 1] = s2;
}

/** Magnitude of sections in a row at a frequency, dB: 20 log10 |Π H(e^{jω})|. */
export function cascadeResponseDb(sections: readonly Biquad[], hz: number, sampleRateHz: number): number {
  const w = (2 * Math.PI * hz) / sampleRateHz;
  return sections.reduce((db, s) => {
    const numerator = squaredPolynomial(s.b0, s.b1, s.b2, w);
    return db + 10 * Math.log10(numerator / squaredPolynomial(1, s.a1, s.a2, w));
  }, 0);
}

function squaredPolynomial(c0: number, c1: number, c2: number, w: number): number {
  const re = c0 + c1 * Math.cos(w) + c2 * Math.cos(2 * w);
  const im = c1 * Math.sin(w) + c2 * Math.sin(2 * w);
  return re * re + im * im;
}
