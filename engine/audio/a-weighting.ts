/** Corner frequencies of the A-weighting, Hz, to the digits of IEC 61672-1:2013, annex E. */
const F1_HZ = 20.598997;
const F2_HZ = 107.65265;
const F3_HZ = 737.86223;
const F4_HZ = 12194.217;
export const A_WEIGHTING_CORNERS_HZ = [F1_HZ, F2_HZ, F3_HZ, F4_HZ] as const;

/**
 * A-weighting at a frequency as a gain, one at 1 kHz:
 *
 *   A(f) ∝ f4²·f⁴ / ((f² + f1²)·√(f² + f2²)·√(f² + f3²)·(f² + f4²))
 *
 * @see IEC 61672-1:2013, annex E, equation E.6
 */
export function aWeighting(hz: number): number {
  return unscaled(hz) / unscaled(1000);
}

function unscaled(hz: number): number {
  const square = hz * hz;
  const low = (square + F1_HZ ** 2) * Math.sqrt((square + F2_HZ ** 2) * (square + F3_HZ ** 2));
  return (F4_HZ ** 2 * square * square) / (low * (square + F4_HZ ** 2));
}
