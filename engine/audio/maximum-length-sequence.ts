/**
 * Second tap of the shift register by its length: the sum modulo 2 of the last stage and this one is fed back. Both
 * polynomials, x^15 + x^14 + 1 and x^9 + x^5 + 1, are primitive.
 *
 * @see ITU-T O.150 (05/96), 5.1 and 5.3: the pseudo-random patterns 2^9 − 1 and 2^15 − 1; clauses from memory
 */
const SECOND_TAP = { 9: 5, 15: 14 } as const;

export type SequenceOrder = keyof typeof SECOND_TAP;

/**
 * A maximum-length sequence of N = 2^order − 1 samples, +1 and −1. Repeated, it is as white as a signal can be: its
 * circular autocorrelation Σ x_n·x_(n+k) is N for k = 0 and −1 for every other k, so that the correlation of what comes
 * out of a linear path with what went in is the path's impulse response.
 *
 * @see F. J. MacWilliams, N. J. A. Sloane, "Pseudo-random sequences and arrays", Proceedings of the IEEE 64 (1976), 1715
 */
export function maximumLengthSequence(order: SequenceOrder): Float64Array {
  const length = 2 ** order - 1;
  const last = order - 1;
  const second = SECOND_TAP[order] - 1;
  let register = length;
  return Float64Array.from({ length }, () => {
    const output = (register >> last) & 1;
    const fedBack = output ^ ((register >> second) & 1);
    register = ((register << 1) | fedBack) & length;
    return output === 1 ? 1 : -1;
  });
}
