import { expect, it } from 'vitest';
import { factorise, solveComplex, solveFactorised } from '../../engine/solver/dense-linear.ts';

it('solves a regular system: 2x + y = 5 and x + 3y = 10 give x = 1, y = 3, also with exchanged rows', () => {
  for (const [matrix, sides] of [
    [Float64Array.of(2, 1, 1, 3), Float64Array.of(5, 10)],
    [Float64Array.of(0, 1, 2, 0), Float64Array.of(3, 2)],
  ] as const) {
    const pivots = new Int32Array(2);
    const factors = factorise(matrix, 2, pivots);
    solveFactorised(factors!, 2, pivots, sides, 1);
    expect(sides[0]).toBeCloseTo(1, 15);
    expect(sides[1]).toBeCloseTo(3, 15);
  }
});

it('gives no factors of a singular matrix, and accepts nothing else for solving', () => {
  const singular = Float64Array.of(1, 2, 2, 4);
  const pivots = new Int32Array(2);
  expect(factorise(singular, 2, pivots)).toBeUndefined();
  const solve = () =>
    // @ts-expect-error: a matrix that was not factorised has another type, so that the status cannot be ignored.
    solveFactorised(new Float64Array(4), 2, pivots, new Float64Array(2), 1);
  expect(solve).not.toThrow();
});

it('solves a complex system whose pivots are neither real nor imaginary: sides are the matrix times a solution', () => {
  // Rows of [re, im]. The solution and the product are Gaussian integers, written out here.
  const matrix = [
    [
      [1, 2],
      [3, -1],
      [0, 1],
    ],
    [
      [4, -3],
      [1, 1],
      [2, 5],
    ],
    [
      [-2, 1],
      [5, 2],
      [1, -4],
    ],
  ];
  const solution = [
    [2, -1],
    [-3, 4],
    [1, 3],
  ];
  // (1+2j)(2−j) + (3−j)(−3+4j) + j(1+3j) = (4+3j) + (−5+15j) + (−3+j), and so on.
  const sides = [
    [-4, 19],
    [-15, 2],
    [-13, 17],
  ];
  const part = (rows: readonly number[][], index: number) =>
    Float64Array.from(rows, (entry) => entry[index]!);
  const [re, im] = [part(matrix.flat(), 0), part(matrix.flat(), 1)];
  const [xRe, xIm] = [part(sides, 0), part(sides, 1)];
  expect(solveComplex(re, im, 3, xRe, xIm)).toBe(-1);
  for (const [row, [wantedRe, wantedIm]] of solution.entries()) {
    expect(xRe[row]).toBeCloseTo(wantedRe!, 12);
    expect(xIm[row]).toBeCloseTo(wantedIm!, 12);
  }
});

it('names the column of a complex system that has no pivot', () => {
  // The second row is j times the first.
  const [re, im] = [Float64Array.of(1, 0, 0, -1), Float64Array.of(0, 1, 1, 0)];
  expect(solveComplex(re, im, 2, new Float64Array(2), new Float64Array(2))).toBe(1);
});
