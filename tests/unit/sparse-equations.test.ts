import { describe, expect, it } from 'vitest';
import { eliminationPlan } from '../../engine/solver/elimination-plan.ts';
import { SparseEquations } from '../../engine/solver/sparse-equations.ts';
import { SparsePattern } from '../../engine/solver/sparse-pattern.ts';
import { uniform } from './small-networks.ts';

/** A matrix of given size with a full diagonal and some other entries, with its numbers by place. */
function randomEquations(seed: number, size: number) {
  const draw = uniform(seed);
  const pattern = new SparsePattern();
  for (let row = 0; row < size; row++) {
    pattern.place(row, row);
    for (let count = 0; count < 2; count++) pattern.place(row, Math.floor(draw() * size));
  }
  const number = () => (draw() - 0.5) * 10 ** (2 * draw() - 1);
  const re = Float64Array.from({ length: pattern.count }, number);
  const im = Float64Array.from({ length: pattern.count }, number);
  const b = Float64Array.from({ length: size }, number);
  return { pattern, re, im, b, size };
}

/**
 * The residual of A·x = b, or of Aᵀ·x = b, divided by ‖A‖·‖x‖ + ‖b‖ in largest magnitudes.
 *
 * @see J. L. Rigal, J. Gaches, "On the compatibility of a given solution with the data of a linear system", J. ACM 14
 * (1967), 543
 */
function backwardError(
  { pattern, re, im, b }: ReturnType<typeof randomEquations>,
  { xRe, xIm }: SparseEquations,
  isTransposed: boolean,
): number {
  const left = Array.from(b, (value): [number, number] => [-value, 0]);
  for (let place = 1; place < pattern.count; place++) {
    const [row, column] = [pattern.rows[place]!, pattern.columns[place]!];
    const [to, from] = isTransposed ? [column, row] : [row, column];
    left[to]![0] += re[place]! * xRe[from]! - im[place]! * xIm[from]!;
    left[to]![1] += re[place]! * xIm[from]! + im[place]! * xRe[from]!;
  }
  const largest = (a: ArrayLike<number>, c: ArrayLike<number>) =>
    Array.from(a).reduce((most, value, index) => Math.max(most, Math.hypot(value, c[index]!)), 0);
  const most = largest(re, im) * largest(xRe, xIm) + largest(b, new Float64Array(b.length));
  return left.reduce((worst, [x, y]) => Math.max(worst, Math.hypot(x, y)), 0) / most;
}

/** Loads the numbers and solves. */
function solve(given: ReturnType<typeof randomEquations>, equations: SparseEquations, isTransposed: boolean) {
  equations.re.set(given.re);
  equations.im.set(given.im);
  equations.b.set(given.b);
  equations.factorise();
  return isTransposed ? equations.solveTransposed() : equations.solve();
}

describe('sparse equations', () => {
  it.each([false, true])('are solved by their elimination plan, transposed: %s', (isTransposed) => {
    for (let seed = 1; seed <= 50; seed++) {
      const given = randomEquations(seed, 5 + seed);
      const equations = new SparseEquations(given.pattern, given.size);
      equations.plan([given.re]);
      expect(solve(given, equations, isTransposed)).toBe(true);
      // a few roundings of 1e-16 each
      expect(backwardError(given, equations, isTransposed), `seed ${seed}`).toBeLessThan(1e-14);
      expect(equations.denseSolutions[0], `seed ${seed}`).toBe(0);
    }
  });

  it('are solved by dense elimination where the planned pivots are zero, and by the plan again afterwards', () => {
    const pattern = new SparsePattern();
    const [a, b, c, d] = [pattern.place(0, 0), pattern.place(0, 1), pattern.place(1, 0), pattern.place(1, 1)];
    const numbers = (values: readonly number[]) => {
      const re = new Float64Array(pattern.count);
      [a, b, c, d].forEach((place, index) => {
        re[place!] = values[index]!;
      });
      return { pattern, re, im: new Float64Array(pattern.count), b: Float64Array.of(2, 3), size: 2 };
    };
    const equations = new SparseEquations(pattern, 2);
    equations.plan([numbers([5, 0.001, 0.001, 5]).re]);
    // [0 1; 1 0]: both planned pivots are zero
    expect(solve(numbers([0, 1, 1, 0]), equations, false)).toBe(true);
    expect([...equations.xRe]).toEqual([3, 2]);
    expect(equations.denseSolutions[0]).toBe(1);
    // a pivot that is small compared with its neighbours: x = (1, 1) except for 1e-17
    expect(solve({ ...numbers([1e-17, 2, 1, 2]) }, equations, false)).toBe(true);
    expect([...equations.xRe]).toEqual([1, 1]);
    // the same with x = (2 − 2j, 1), where the planned order gives an imaginary part as large as the real one
    const im = new Float64Array(pattern.count);
    im[d] = 2;
    expect(solve({ ...numbers([1e-17, 2, 1, 0]), im, b: Float64Array.of(2, 2) }, equations, false)).toBe(
      true,
    );
    expect([...equations.xRe, ...equations.xIm]).toEqual([2, 1, -2, 1e-17]);
    expect(equations.denseSolutions[0]).toBe(3);
    expect(solve(numbers([1, 0, 0, 4]), equations, false)).toBe(true);
    expect([...equations.xRe]).toEqual([2, 0.75]);
    expect(equations.denseSolutions[0]).toBe(3);
  });

  it('report where there is no solution', () => {
    const given = randomEquations(1, 4);
    const equations = new SparseEquations(given.pattern, 4);
    equations.plan([given.re]);
    const none = new Float64Array(given.pattern.count);
    expect(solve({ ...given, re: none, im: none }, equations, false)).toBe(false);
  });

  it('are all solved by dense elimination if the plan was made for a singular matrix', () => {
    const given = randomEquations(3, 6);
    const equations = new SparseEquations(given.pattern, 6);
    equations.plan([new Float64Array(given.pattern.count)]);
    expect(solve(given, equations, false)).toBe(true);
    expect(backwardError(given, equations, false)).toBeLessThan(1e-14);
    expect(equations.denseSolutions[0]).toBe(1);
  });

  it('have no plan for a singular sample: two equal rows, or zeros', () => {
    const pattern = new SparsePattern();
    for (const [row, column] of [
      [0, 0],
      [0, 1],
      [1, 0],
      [1, 1],
    ] as const)
      pattern.place(row, column);
    const regular = Float64Array.of(0, 1, 2, 2, 1);
    const alike = Float64Array.of(0, 1, 1, 1, 1);
    expect(eliminationPlan(pattern, 2, [regular])).toBeDefined();
    expect(eliminationPlan(pattern, 2, [regular, alike])).toBeUndefined();
    expect(eliminationPlan(pattern, 2, [new Float64Array(5)])).toBeUndefined();
  });

  it('have no fill-in for a ladder, whose nodes have two neighbours each', () => {
    const pattern = new SparsePattern();
    const size = 40;
    // numbered alternately from both ends, so that the order of the rows is a bad one
    const order = Array.from({ length: size }, (_, k) => (k % 2 === 0 ? k / 2 : size - 1 - (k - 1) / 2));
    const placeOf = (a: number, b: number) => pattern.place(order[a]!, order[b]!);
    const diagonal = order.map((_, k) => placeOf(k, k));
    const sides = order.slice(1).flatMap((_, k) => [placeOf(k, k + 1), placeOf(k + 1, k)]);
    const re = new Float64Array(pattern.count);
    for (const place of diagonal) re[place] = 2;
    for (const place of sides) re[place] = -1;
    const plan = eliminationPlan(pattern, size, [re])!;
    expect(plan.places).toBe(pattern.count);
    expect(plan.targets.length).toBe(size - 1);
  });
});
