/**
 * Discrete Fourier transform in place, X_k = Σ x_n·e^(−j2πkn/N), N a power of two.
 *
 * @param re,im Length N. Overwritten. @throws RangeError if N is not a power of two.
 * @see J. W. Cooley, J. W. Tukey, Mathematics of Computation 19 (1965), 297
 */
export function fourierTransform(re: Float64Array, im: Float64Array): void {
  const n = re.length;
  if (n === 0 || (n & (n - 1)) !== 0 || im.length !== n) {
    throw new RangeError(`a transform of ${n} samples needs a power of two`);
  }
  reverseBits(re, im);
  for (let half = 1; half < n; half *= 2) {
    for (let k = 0; k < half; k++) {
      const cosine = Math.cos((Math.PI * k) / half);
      const sine = -Math.sin((Math.PI * k) / half);
      for (let start = k; start < n; start += 2 * half) {
        const other = start + half;
        const realPart = re[other]! * cosine - im[other]! * sine;
        const imaginaryPart = re[other]! * sine + im[other]! * cosine;
        re[other] = re[start]! - realPart;
        im[other] = im[start]! - imaginaryPart;
        re[start]! += realPart;
        im[start]! += imaginaryPart;
      }
    }
  }
}

/** Inverse of {@link fourierTransform}, in place. */
export function inverseFourierTransform(re: Float64Array, im: Float64Array): void {
  fourierTransform(im, re);
  const scale = 1 / re.length;
  for (let index = 0; index < re.length; index++) {
    re[index]! *= scale;
    im[index]! *= scale;
  }
}

/** Smallest power of two that is not below `length`. */
export function powerOfTwoFrom(length: number): number {
  return 2 ** Math.ceil(Math.log2(Math.max(1, length)));
}

function reverseBits(re: Float64Array, im: Float64Array): void {
  const n = re.length;
  for (let index = 1, reversed = 0; index < n; index++) {
    let bit = n >> 1;
    for (; reversed & bit; bit >>= 1) reversed ^= bit;
    reversed ^= bit;
    if (index < reversed) {
      swap(re, index, reversed);
      swap(im, index, reversed);
    }
  }
}

function swap(values: Float64Array, a: number, b: number): void {
  const kept = values[a]!;
  values[a] = values[b]!;
  values[b] = kept;
}
