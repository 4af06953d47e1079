/**
 * Digital second-order sections that follow their analogue prototype up to half the sample rate. The
 * bilinear transform would not: a low-pass at 4.8 kHz would be 3 dB off at 8 kHz at a rate of 44.1 kHz, and
 * the same filter would sound different at each rate. Here the poles are mapped by e^{sT} and the zeros are
 * chosen so that the magnitude is exact at 0 and at the corner or centre.
 *
 * The prototypes are those of R. Bristow-Johnson, "Audio EQ Cookbook" (W3C note), with s in units of the
 * corner frequency. Method after M. Vicanek, "Matched second order digital filters" (2016), from memory:
 * the tests compare the result with the prototypes.
 */
import type { Biquad } from './biquad.ts';

export interface FilterOptions {
  /** Corner or centre, Hz, below half the sample rate. */
  readonly frequencyHz: number;
  readonly quality: number;
  readonly sampleRateHz: number;
}

/** H(s) = 1 / (s² + s/Q + 1). Throws RangeError for a frequency outside the band. */
export function matchedLowPass(options: FilterOptions): Biquad {
  const poles = mapPoles(options, 1 / (2 * options.quality));
  const dc = poles.at0;
  const corner = poles.squaredAtCentre * options.quality ** 2;
  const nyquist = (corner - dc * poles.phi0) / poles.phi1;
  const b0 = 0.5 * (Math.sqrt(dc) + Math.sqrt(nyquist));
  return { b0, b1: Math.sqrt(dc) - b0, b2: 0, a1: poles.a1, a2: poles.a2 };
}

/** H(s) = s² / (s² + s/Q + 1). Throws RangeError for a frequency outside the band. */
export function matchedHighPass(options: FilterOptions): Biquad {
  const poles = mapPoles(options, 1 / (2 * options.quality));
  const b0 = (options.quality * Math.sqrt(poles.squaredAtCentre)) / (4 * poles.phi1);
  return { b0, b1: -2 * b0, b2: b0, a1: poles.a1, a2: poles.a2 };
}

/** H(s) = (s² + sA/Q + 1) / (s² + s/(AQ) + 1), A = 10^(gain/40). Throws RangeError as above. */
export function matchedPeak(options: FilterOptions & { readonly gainDb: number }): Biquad {
  const a = 10 ** (options.gainDb / 40);
  const poles = mapPoles(options, 1 / (2 * a * options.quality));
  const { phi0, phi1 } = poles;
  // magnitude one at 0, the gain at the centre and level there
  const gain2 = a ** 4;
  const value = poles.squaredAtCentre * gain2;
  const slope = (poles.atNyquist - poles.at0 + 4 * (phi0 - phi1) * poles.cross) * gain2;
  const dc = poles.at0;
  const cross = (value - slope * phi1 - dc) / (4 * phi1 * phi1);
  const nyquist = slope + dc + 4 * (phi1 - phi0) * cross;
  const w = 0.5 * (Math.sqrt(dc) + Math.sqrt(nyquist));
  const b0 = 0.5 * (w + Math.sqrt(w * w + cross));
  const b1 = 0.5 * (Math.sqrt(dc) - Math.sqrt(nyquist));
  return { b0, b1, b2: -cross / (4 * b0), a1: poles.a1, a2: poles.a2 };
}

interface MappedPoles {
  readonly a1: number;
  readonly a2: number;
  /** cos²(ω/2) and sin²(ω/2) at the corner. */
  readonly phi0: number;
  readonly phi1: number;
  /** The squared denominator is at0 φ0 + atNyquist φ1 + cross · 4 φ0 φ1. */
  readonly at0: number;
  readonly atNyquist: number;
  readonly cross: number;
  readonly squaredAtCentre: number;
}

function mapPoles(options: FilterOptions, damping: number): MappedPoles {
  const w = (2 * Math.PI * options.frequencyHz) / options.sampleRateHz;
  if (!(w > 0 && w < Math.PI && damping > 0)) {
    throw new RangeError(
      `filter at ${options.frequencyHz} Hz does not fit a rate of ${options.sampleRateHz} Hz`,
    );
  }
  const decay = Math.exp(-damping * w);
  const turn =
    damping <= 1 ? Math.cos(Math.sqrt(1 - damping ** 2) * w) : Math.cosh(Math.sqrt(damping ** 2 - 1) * w);
  const a1 = -2 * decay * turn;
  const a2 = decay * decay;
  const phi1 = Math.sin(w / 2) ** 2;
  const phi0 = 1 - phi1;
  const at0 = (1 + a1 + a2) ** 2;
  const atNyquist = (1 - a1 + a2) ** 2;
  const cross = -4 * a2;
  const squaredAtCentre = at0 * phi0 + atNyquist * phi1 + cross * 4 * phi0 * phi1;
  return { a1, a2, phi0, phi1, at0, atNyquist, cross, squaredAtCentre };
}
