/**
 * A small guitar amplifier and its speaker, as six second-order sections: without it an overdrive in headphones
 * is fizzy. It is no model of any amplifier: its cutoff frequencies are common practice for a closed
 * twelve-inch guitar speaker, no source.
 *
 * Response (computed from the analogue prototypes; the sections follow it within 0.05 dB up to 8 kHz at
 * sample rates from 44.1 kHz):
 *
 * | Hz |     20 |     40 |    80 |  110 |  200 |   500 |  1000 | 2000 | 2800 | 4000 |  4800 |  6000 |   8000 |
 * |----|--------|--------|-------|------|------|-------|-------|------|------|------|-------|-------|--------|
 * | dB | -22.88 | -10.83 | -0.48 | 1.96 | 0.44 | -2.17 | -0.25 | 3.13 | 4.82 | 2.28 | -0.85 | -7.12 | -17.13 |
 */
import { type Biquad, BiquadCascade, cascadeResponseDb } from './biquad.ts';
import { matchedHighPass, matchedLowPass, matchedPeak } from './matched-biquad.ts';

/** Quality factors of a fourth-order Butterworth filter's two sections: 1 / (2 cos(π/8)), 1 / (2 cos(3π/8)). */
const BUTTERWORTH_4 = [1 / (2 * Math.cos(Math.PI / 8)), 1 / (2 * Math.cos((3 * Math.PI) / 8))] as const;

/** A lower rate could not hold the band. */
export const LEAST_STAND_IN_RATE_HZ = 10_000;

/** One channel; linear, so its gain does not depend on the unit of the signal. */
export class SpeakerStandIn {
  readonly #sections: BiquadCascade;

  /** Throws RangeError for a sample rate below 10 kHz, which could not hold the band. */
  constructor(sampleRateHz: number) {
    this.#sections = new BiquadCascade(standInSections(sampleRateHz));
  }

  /** @param output Length ≥ frames, overwritten; may be the input. Input must be finite. Real-time safe. */
  process(input: Float64Array, frames: number, output: Float64Array): void {
    this.#sections.process(input, frames, output);
  }

  reset(): void {
    this.#sections.reset();
  }
}

/** Magnitude at a frequency at the given sample rate, dB. */
export function standInResponseDb(hz: number, sampleRateHz: number): number {
  return cascadeResponseDb(standInSections(sampleRateHz), hz, sampleRateHz);
}

function standInSections(sampleRateHz: number): readonly Biquad[] {
  return [
    matchedHighPass({ frequencyHz: 75, quality: Math.SQRT1_2, sampleRateHz }),
    matchedPeak({ frequencyHz: 110, quality: 1, gainDb: 3, sampleRateHz }),
    matchedPeak({ frequencyHz: 500, quality: 0.8, gainDb: -2.5, sampleRateHz }),
    matchedPeak({ frequencyHz: 2800, quality: 1, gainDb: 5, sampleRateHz }),
    ...BUTTERWORTH_4.map((quality) => matchedLowPass({ frequencyHz: 4800, quality, sampleRateHz })),
  ];
}
