/**
 * The low-pass between a dense output and the 48 kHz times of the reference vectors: a
 * continuous-time kernel, the same in band_limit.py.
 *
 *   h(τ) = sinc(2·f_c·τ)·I0(β·√(1 − (τ/H)²))/I0(β)   for |τ| ≤ H, else 0
 *   f_c = 22 kHz, H = 1 ms, β = 0.1102·(A − 8.7), A = 2.285·2π·4 kHz·2H + 8 = 122.9 dB
 *
 * Passband to 20 kHz, stopband from 24 kHz: Kaiser's design formulas for a window of length 2H.
 */

export const OUTPUT_RATE_HZ = 48_000;
const CUTOFF_HZ = 22_000;
const TRANSITION_HZ = 4_000;
const HALF_WIDTH_SECONDS = 1e-3;
const ATTENUATION_DB = 2.285 * 2 * Math.PI * TRANSITION_HZ * 2 * HALF_WIDTH_SECONDS + 8;
const KAISER_BETA = 0.1102 * (ATTENUATION_DB - 8.7);
/** Samples at 48 kHz in half of the kernel. */
export const REACH = Math.round(HALF_WIDTH_SECONDS * OUTPUT_RATE_HZ);

/** h(τ), 1 at τ = 0. @param cutoffHz f_c. */
export function kernel(tauSeconds: number, cutoffHz = CUTOFF_HZ): number {
  const position = tauSeconds / HALF_WIDTH_SECONDS;
  if (Math.abs(position) > 1) return 0;
  const window = besselI0(KAISER_BETA * Math.sqrt(1 - position * position)) / besselI0(KAISER_BETA);
  const angle = 2 * Math.PI * cutoffHz * tauSeconds;
  return angle === 0 ? window : (window * Math.sin(angle)) / angle;
}

/**
 * Band-limits a dense signal and samples it at 48 kHz: y(t) = Σ_j h(t − t_j)·x_j / Σ_j h(t − t_j).
 * Dividing by the sum makes the gain at 0 Hz exactly one at every rate.
 *
 * @param dense Samples at 48 kHz·factor, the first at t = 0; longer than 2·REACH·factor.
 * @param factor Whole number ≥ 1.
 * @param cutoffHz Middle of the transition.
 * @returns Samples at the times k/48 kHz for k = REACH … (dense.length − 1)/factor − REACH.
 */
export function bandLimit(dense: Float64Array, factor: number, cutoffHz = CUTOFF_HZ): Float64Array {
  const reach = REACH * factor;
  const taps = normalisedTaps(reach, factor, cutoffHz);
  const length = Math.floor((dense.length - 1 - 2 * reach) / factor) + 1;
  if (!(length > 0)) throw new RangeError(`a signal of ${dense.length} samples is shorter than the kernel`);
  const result = new Float64Array(length);
  for (let k = 0; k < length; k += 1) {
    let sum = 0;
    for (let j = 0; j < taps.length; j += 1) sum += taps[j]! * dense[k * factor + j]!;
    result[k] = sum;
  }
  return result;
}

function normalisedTaps(reach: number, factor: number, cutoffHz: number): Float64Array {
  const rateHz = OUTPUT_RATE_HZ * factor;
  const taps = Float64Array.from({ length: 2 * reach + 1 }, (_, j) => kernel((j - reach) / rateHz, cutoffHz));
  const sum = taps.reduce((total, tap) => total + tap, 0);
  return taps.map((tap) => tap / sum);
}

/** Modified Bessel function of the first kind, order 0: Σ ((x/2)^k / k!)², to rounding for x ≤ 20. */
function besselI0(x: number): number {
  let term = 1;
  let sum = 1;
  for (let k = 1; k < 60; k += 1) {
    term *= (x / (2 * k)) ** 2;
    sum += term;
  }
  return sum;
}
