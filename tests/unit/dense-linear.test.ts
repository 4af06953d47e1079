import { expect, it } from 'vitest';
import { factorise, solveFactorised } from '../../engine/solver/dense-linear.ts';

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
