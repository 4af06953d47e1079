/**
 * Half-band filters for changing the sample rate by two: their design only.
 * Frequencies are normalised to the higher of the two rates, so that the band is cut at 0.25.
 */

/** Two-path allpass half-band: H(z) = (A0(z²) + z⁻¹ A1(z²)) / 2. */
export interface AllpassHalfBand {
  /** Coefficients of A0's sections (a + z⁻²) / (1 + a z⁻²). */
  readonly even: Float64Array;
  /** Coefficients of A1's sections. */
  readonly odd: Float64Array;
}

/**
 * Elliptic half-band as two allpass chains, from closed formulae with the elliptic nome q.
 *
 *   k = tan²(π(1 − 2Δ)/4)        e = (1 − (1 − k²)^¼) / (2(1 + (1 − k²)^¼))
 *   q = e + 2e⁵ + 15e⁹ + 150e¹³   order ≥ ln(δ⁴/16) / ln q, with δ² the stop-band power gain
 *
 * @param attenuationDb Least stop-band attenuation, dB, > 0.
 * @param transition Width Δ of the transition band about 0.25, cycles per sample, 0 < Δ < 0.5.
 * Throws RangeError outside these. Allocates; not for the audio thread's process().
 * @see R. A. Valenzuela and A. G. Constantinides, "Digital signal processing schemes for efficient
 *   interpolation and decimation", IEE Proceedings G 130(6), 1983
 */
export function designAllpassHalfBand(attenuationDb: number, transition: number): AllpassHalfBand {
  checkSpecification(attenuationDb, transition);
  const k = Math.tan(((1 - 2 * transition) * Math.PI) / 4) ** 2;
  const root = (1 - k * k) ** 0.25;
  const e = (0.5 * (1 - root)) / (1 + root);
  const e4 = e ** 4;
  const q = e * (1 + e4 * (2 + e4 * (15 + 150 * e4)));
  const order = ellipticOrder(attenuationDb, q);
  const even: number[] = [];
  const odd: number[] = [];
  for (let section = 1; section <= (order - 1) / 2; section++) {
    const omega = ellipticPole(section, order, q);
    const square = omega * omega;
    const x = Math.sqrt((1 - square * k) * (1 - square / k)) / (1 + square);
    (section % 2 === 1 ? even : odd).push((1 - x) / (1 + x));
  }
  return { even: Float64Array.from(even), odd: Float64Array.from(odd) };
}

/**
 * Delay, in samples of the lower rate, of upsampling and downsampling through one allpass half-band.
 * The round trip is A0(z)·A1(z) at the lower rate, an allpass, so its delays add up section by section:
 * (1 − a²) / (1 + a² + 2a cos ω).
 *
 * @param cyclesPerSample Frequency over the lower rate.
 */
export function allpassRoundTripDelay(filter: AllpassHalfBand, cyclesPerSample: number): number {
  const cosine = Math.cos(2 * Math.PI * cyclesPerSample);
  const delay = (sum: number, a: number): number => sum + (1 - a * a) / (1 + a * a + 2 * a * cosine);
  return filter.odd.reduce(delay, filter.even.reduce(delay, 0));
}

/**
 * Linear-phase half-band by a Kaiser window. Every second tap is zero but the middle one, which is 1/2.
 *
 * @param attenuationDb Stop-band attenuation (and pass-band deviation), dB, > 50.
 * @param transition As in `designAllpassHalfBand`.
 * @returns The first half of the non-zero outer taps, K of them: the filter has 4K − 1 taps, h[0] = out[0],
 *   h[2] = out[1] … h[2K − 2] = out[K − 1], mirrored after the middle tap h[2K − 1] = 1/2. They sum to 1/4,
 *   which makes the gain at DC exactly one.
 * Throws RangeError outside the ranges. Allocates; not for the audio thread's process().
 * @see J. F. Kaiser, "Nonrecursive digital filter design using the I0-sinh window function", ISCAS 1974
 */
export function designFirHalfBand(attenuationDb: number, transition: number): Float64Array {
  checkSpecification(attenuationDb, transition);
  const taps = (attenuationDb - 8) / (2.285 * 2 * Math.PI * transition) + 1;
  let count = Math.max(1, Math.floor((taps + 1) / 4));
  let half = kaiserHalfBand(count, attenuationDb);
  // Kaiser's estimate of the length runs a few decibels short for short filters
  while (stopBandPeakDb(half, transition) > -attenuationDb) {
    count++;
    half = kaiserHalfBand(count, attenuationDb);
  }
  return half;
}

/**
 * Kaiser window w(x) = I0(β √(1 − x²)) / I0(β) for −1 ≤ x ≤ 1, zero outside.
 */
export function kaiserWindow(x: number, beta: number): number {
  const square = 1 - x * x;
  return square < 0 ? 0 : besselI0(beta * Math.sqrt(square)) / besselI0(beta);
}

/** Modified Bessel function I0 by its power series, to double precision for |x| < 30. */
function besselI0(x: number): number {
  const quarter = (x * x) / 4;
  let term = 1;
  let sum = 1;
  for (let n = 1; n < 200 && term > sum * 1e-17; n++) {
    term *= quarter / (n * n);
    sum += term;
  }
  return sum;
}

function checkSpecification(attenuationDb: number, transition: number): void {
  if (!(attenuationDb > 0)) throw new RangeError(`attenuation ${attenuationDb} dB must be positive`);
  if (!(transition > 0 && transition < 0.5)) {
    throw new RangeError(`transition ${transition} must lie between 0 and 0.5 cycles per sample`);
  }
}

function kaiserHalfBand(count: number, attenuationDb: number): Float64Array {
  const beta = 0.1102 * (attenuationDb - 8.7);
  const middle = 2 * count - 1;
  const half = new Float64Array(count);
  for (let i = 0; i < count; i++) {
    const offset = middle - 2 * i;
    half[i] = (Math.sin((Math.PI * offset) / 2) / (Math.PI * offset)) * kaiserWindow(offset / middle, beta);
  }
  const sum = half.reduce((a, b) => a + b, 0);
  return half.map((tap) => tap / (4 * sum));
}

/** Highest gain from the edge of the stop band to half the sample rate, on a grid of four points a lobe. */
function stopBandPeakDb(half: Float64Array, transition: number): number {
  const middle = 2 * half.length - 1;
  const steps = 4 * middle;
  const edge = 0.25 + transition / 2;
  let peak = 0;
  for (let step = 0; step <= steps; step++) {
    const frequency = edge + ((0.5 - edge) * step) / steps;
    let gain = 0.5;
    for (let i = 0; i < half.length; i++) {
      gain += 2 * (half[i] ?? 0) * Math.cos(2 * Math.PI * frequency * (middle - 2 * i));
    }
    peak = Math.max(peak, Math.abs(gain));
  }
  return 20 * Math.log10(peak);
}

/** Least odd order that reaches the attenuation. */
function ellipticOrder(attenuationDb: number, q: number): number {
  const power = 10 ** (-attenuationDb / 10);
  const ratio = power / (1 - power);
  const order = Math.ceil(Math.log((ratio * ratio) / 16) / Math.log(q));
  return Math.max(3, order % 2 === 0 ? order + 1 : order);
}

/** Elliptic sine sn(2Kc/order) √k by its theta series. */
function ellipticPole(section: number, order: number, q: number): number {
  let numerator = 0;
  let denominator = 0.5;
  for (let i = 0; i < 30; i++) {
    const sign = i % 2 === 0 ? 1 : -1;
    numerator += sign * q ** (i * (i + 1)) * Math.sin(((2 * i + 1) * section * Math.PI) / order);
    denominator -= sign * q ** ((i + 1) ** 2) * Math.cos((2 * (i + 1) * section * Math.PI) / order);
  }
  return (q ** 0.25 * numerator) / denominator;
}
