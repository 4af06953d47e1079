/**
 * Random numbers that depend on a key, a seed and a count alone, not on those drawn before: number 4711 of a part is the
 * same whoever asks for it, and in whatever order.
 */

/** A key for a text. FNV-1a, 32 bits. @see Fowler, Noll, Vo, IETF draft-eastlake-fnv */
export function keyOf(text: string): number {
  let hash = 0x811c9dc5;
  for (let index = 0; index < text.length; index++) {
    hash = Math.imul(hash ^ text.charCodeAt(index), 0x01000193);
  }
  return hash >>> 0;
}

/** Uniform between 0 and 1, both excluded. */
export function countedUniform(key: number, seed: number, count: number): number {
  const drawn = mixed(key ^ mixed(count ^ mixed(seed + GOLDEN)));
  return (drawn + 0.5) / 2 ** 32;
}

/** 2³² divided by the golden ratio, so that seed 0 does not stay 0. */
const GOLDEN = 0x9e3779b9;

/** Each bit of the result depends on every bit of the number. @see A. Appleby, MurmurHash3 (public domain), fmix32 */
function mixed(number: number): number {
  let hash = number | 0;
  hash = Math.imul(hash ^ (hash >>> 16), 0x85ebca6b);
  hash = Math.imul(hash ^ (hash >>> 13), 0xc2b2ae35);
  return (hash ^ (hash >>> 16)) >>> 0;
}

/**
 * The normal deviate below which a share of all lies, to about 1 in 10⁹.
 *
 * @param share Between 0 and 1, both excluded.
 * @see P. J. Acklam, "An algorithm for computing the inverse normal cumulative distribution function" (2003), from memory;
 * the tests compare it with SciPy
 */
export function normalAt(share: number): number {
  if (share > 0.5) return -normalAt(1 - share);
  if (share < TAIL) {
    const q = Math.sqrt(-2 * Math.log(share));
    return polynomial(TAIL_ABOVE, q) / (polynomial(TAIL_BELOW, q) * q + 1);
  }
  const q = share - 0.5;
  const r = q * q;
  return (polynomial(ABOVE, r) * q) / (polynomial(BELOW, r) * r + 1);
}

const TAIL = 0.02425;
const ABOVE = [
  -3.969683028665376e1, 2.209460984245205e2, -2.759285104469687e2, 1.38357751867269e2, -3.066479806614716e1,
  2.506628277459239,
];
const BELOW = [
  -5.447609879822406e1, 1.615858368580409e2, -1.556989798598866e2, 6.680131188771972e1, -1.328068155288572e1,
];
const TAIL_ABOVE = [
  -7.784894002430293e-3, -3.223964580411365e-1, -2.400758277161838, -2.549732539343734, 4.374664141464968,
  2.938163982698783,
];
const TAIL_BELOW = [7.784695709041462e-3, 3.224671290700398e-1, 2.445134137142996, 3.754408661907416];

function polynomial(coefficients: readonly number[], x: number): number {
  let sum = 0;
  for (let index = 0; index < coefficients.length; index++) sum = sum * x + coefficients[index]!;
  return sum;
}
