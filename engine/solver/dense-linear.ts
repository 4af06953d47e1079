/**
 * Dense linear algebra on small row-major matrices in Float64Arrays. Nothing here allocates, so that
 * coefficients can be computed on the audio thread.
 */

declare const FACTORS: unique symbol;
/** A matrix that was factorised: only with it is a system solved, so that nobody passes over a singular one. */
export type Factors = Float64Array & { readonly [FACTORS]: true };

/**
 * LU factorisation with partial pivoting, in place.
 *
 * @param matrix n×n, row-major. Overwritten by L (unit diagonal, below) and U (on and above).
 * @param pivots Output, length ≥ n: the row swapped with row k at step k.
 * @returns The factors, in the place of the matrix; undefined where it is singular. Never throws. Real-time safe.
 * @see Golub & Van Loan, Matrix Computations, algorithm 3.4.1
 */
export function factorise(matrix: Float64Array, n: number, pivots: Int32Array): Factors | undefined {
  for (let k = 0; k < n; k++) {
    let pivotRow = k;
    let largest = Math.abs(matrix[k * n + k]!);
    for (let row = k + 1; row < n; row++) {
      const candidate = Math.abs(matrix[row * n + k]!);
      if (candidate > largest) {
        largest = candidate;
        pivotRow = row;
      }
    }
    if (!(largest > 0)) return undefined;
    pivots[k] = pivotRow;
    if (pivotRow !== k) swapRows(matrix, n, k, pivotRow);
    const inverse = 1 / matrix[k * n + k]!;
    for (let row = k + 1; row < n; row++) {
      const factor = matrix[row * n + k]! * inverse;
      matrix[row * n + k] = factor;
      if (factor === 0) continue;
      for (let column = k + 1; column < n; column++) {
        matrix[row * n + column]! -= factor * matrix[k * n + column]!;
      }
    }
  }
  return matrix as Factors;
}

/**
 * Solves A·X = B for `columns` right-hand sides with the factors of {@link factorise}.
 *
 * @param rightHandSides n×columns, row-major. Overwritten by the solution. Real-time safe.
 */
export function solveFactorised(
  matrix: Factors,
  n: number,
  pivots: Int32Array,
  rightHandSides: Float64Array,
  columns: number,
): void {
  for (let k = 0; k < n; k++) {
    const pivotRow = pivots[k]!;
    if (pivotRow !== k) swapRows(rightHandSides, columns, k, pivotRow);
  }
  for (let row = 1; row < n; row++) {
    for (let k = 0; k < row; k++) subtractRow(rightHandSides, columns, row, k, matrix, row * n + k);
  }
  for (let row = n - 1; row >= 0; row--) {
    for (let k = row + 1; k < n; k++) subtractRow(rightHandSides, columns, row, k, matrix, row * n + k);
    const inverse = 1 / matrix[row * n + row]!;
    for (let column = 0; column < columns; column++) rightHandSides[row * columns + column]! *= inverse;
  }
}

function swapRows(matrix: Float64Array, columns: number, a: number, b: number): void {
  for (let column = 0; column < columns; column++) {
    const kept = matrix[a * columns + column]!;
    matrix[a * columns + column] = matrix[b * columns + column]!;
    matrix[b * columns + column] = kept;
  }
}

/** Takes factors[at] times one row from another; the factor stays in its array, so that V8 does not allocate it. */
function subtractRow(
  matrix: Float64Array,
  columns: number,
  row: number,
  source: number,
  factors: Float64Array,
  at: number,
): void {
  const factor = factors[at]!;
  if (factor === 0) return;
  for (let column = 0; column < columns; column++) {
    matrix[row * columns + column]! -= factor * matrix[source * columns + column]!;
  }
}

/**
 * Solves the complex system (re + j·im)·x = b by Gaussian elimination with partial pivoting.
 *
 * @param re,im n×n, row-major. Overwritten.
 * @param bRe,bIm length n. Overwritten by the solution.
 * @returns −1, or the index of the first column without a usable pivot. Never throws.
 */
export function solveComplex(
  re: Float64Array,
  im: Float64Array,
  n: number,
  bRe: Float64Array,
  bIm: Float64Array,
): number {
  for (let k = 0; k < n; k++) {
    let pivotRow = k;
    let largest = 0;
    for (let row = k; row < n; row++) {
      const magnitude = Math.hypot(re[row * n + k]!, im[row * n + k]!);
      if (magnitude > largest) {
        largest = magnitude;
        pivotRow = row;
      }
    }
    if (!(largest > 0)) return k;
    if (pivotRow !== k) {
      swapRows(re, n, k, pivotRow);
      swapRows(im, n, k, pivotRow);
      swapRows(bRe, 1, k, pivotRow);
      swapRows(bIm, 1, k, pivotRow);
    }
    eliminateComplexColumn(re, im, n, k, bRe, bIm);
  }
  substituteComplex(re, im, n, bRe, bIm);
  return -1;
}

function eliminateComplexColumn(
  re: Float64Array,
  im: Float64Array,
  n: number,
  k: number,
  bRe: Float64Array,
  bIm: Float64Array,
): void {
  const pivotRe = re[k * n + k]!;
  const pivotIm = im[k * n + k]!;
  const scale = 1 / (pivotRe * pivotRe + pivotIm * pivotIm);
  for (let row = k + 1; row < n; row++) {
    const a = re[row * n + k]!;
    const b = im[row * n + k]!;
    if (a === 0 && b === 0) continue;
    const factorRe = (a * pivotRe + b * pivotIm) * scale;
    const factorIm = (b * pivotRe - a * pivotIm) * scale;
    for (let column = k + 1; column < n; column++) {
      const uRe = re[k * n + column]!;
      const uIm = im[k * n + column]!;
      re[row * n + column]! -= factorRe * uRe - factorIm * uIm;
      im[row * n + column]! -= factorRe * uIm + factorIm * uRe;
    }
    bRe[row]! -= factorRe * bRe[k]! - factorIm * bIm[k]!;
    bIm[row]! -= factorRe * bIm[k]! + factorIm * bRe[k]!;
  }
}

function substituteComplex(
  re: Float64Array,
  im: Float64Array,
  n: number,
  bRe: Float64Array,
  bIm: Float64Array,
): void {
  for (let row = n - 1; row >= 0; row--) {
    let sumRe = bRe[row]!;
    let sumIm = bIm[row]!;
    for (let k = row + 1; k < n; k++) {
      sumRe -= re[row * n + k]! * bRe[k]! - im[row * n + k]! * bIm[k]!;
      sumIm -= re[row * n + k]! * bIm[k]! + im[row * n + k]! * bRe[k]!;
    }
    const pivotRe = re[row * n + row]!;
    const pivotIm = im[row * n + row]!;
    const scale = 1 / (pivotRe * pivotRe + pivotIm * pivotIm);
    bRe[row] = (sumRe * pivotRe + sumIm * pivotIm) * scale;
    bIm[row] = (sumIm * pivotRe - sumRe * pivotIm) * scale;
  }
}
