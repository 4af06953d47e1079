import { type Code, divide, double, multiply, negate, subtract, sum } from './expression.ts';
import type { FunctionBuilder } from './function-builder.ts';

type Entry = Code | undefined;
type Matrix = readonly (readonly Entry[])[];

/** The largest system that is solved by minors. */
const MOST_BY_MINORS = 3;

/**
 * A·x = b as straight-line code, without entries that are zero by structure. Up to three unknowns are solved by
 * minors with one division, since latency matters most and divisions have the longest; of more unknowns, the
 * first two are eliminated together. No pivoting: the matrices are 1 − K·D of a block, which are far from
 * singular, since K takes power from the devices (−K is positive semidefinite for passive parts, and an op-amp's
 * feedback adds to the diagonal).
 *
 * @returns Code of x.
 */
export function solveStraight(f: FunctionBuilder, matrix: Matrix, rightHandSide: readonly Code[]): Code[] {
  const n = rightHandSide.length;
  if (n <= MOST_BY_MINORS) return solveByMinors(f, matrix, rightHandSide);
  const head = [0, 1];
  const rest = Array.from({ length: n - 2 }, (_, index) => index + 2);
  const inverse = invertByMinors(f, part(matrix, head, head));
  // A₂₁·A₁₁⁻¹, a row for each of the rest.
  const factors = rest.map((row) =>
    head.map((column) =>
      defineSum(
        f,
        head.map((k) => product(matrix[row]![k], inverse[k]![column])),
      ),
    ),
  );
  const reduced = rest.map((row, index) =>
    rest.map((column) =>
      difference(
        f,
        matrix[row]![column],
        head.map((k) => product(factors[index]![k], matrix[k]![column])),
      ),
    ),
  );
  const right = rest.map(
    (row, index) =>
      difference(
        f,
        rightHandSide[row],
        head.map((k) => product(factors[index]![k], rightHandSide[k])),
      )!,
  );
  const tail = solveStraight(f, reduced, right);
  const left = head.map(
    (row) =>
      difference(
        f,
        rightHandSide[row],
        rest.map((column, index) => product(matrix[row]![column], tail[index])),
      )!,
  );
  return [...multiplied(f, inverse, left), ...tail];
}

/** Cramer's rule: the adjugate times b is computed while the division runs. */
function solveByMinors(f: FunctionBuilder, matrix: Matrix, rightHandSide: readonly Code[]): Code[] {
  if (matrix.length === 0) return [];
  const { adjugate, perDeterminant } = adjugateOf(f, matrix);
  return multiplied(f, adjugate, rightHandSide).map((code) => f.define(multiply(code, perDeterminant)));
}

function multiplied(f: FunctionBuilder, matrix: Matrix, vector: readonly Code[]): Code[] {
  return matrix.map(
    (row) =>
      defineSum(
        f,
        row.map((entry, column) => product(entry, vector[column])),
      ) ?? double(0),
  );
}

function invertByMinors(f: FunctionBuilder, matrix: Matrix): Entry[][] {
  const { adjugate, perDeterminant } = adjugateOf(f, matrix);
  return adjugate.map((row) => row.map((entry) => entry && f.define(multiply(entry, perDeterminant))));
}

/** Inverse of a matrix of one to three rows, without the division by the determinant. */
function adjugateOf(f: FunctionBuilder, matrix: Matrix): { adjugate: Entry[][]; perDeterminant: Code } {
  const indices = matrix.map((_, index) => index);
  const adjugate = indices.map((column) =>
    indices.map((row) => {
      const others = (left: number) => indices.filter((index) => index !== left);
      const minor = determinant(part(matrix, others(row), others(column)));
      const cofactor = minor && ((row + column) % 2 === 0 ? minor : negate(minor));
      return cofactor && (matrix.length > 2 ? f.define(cofactor) : cofactor);
    }),
  );
  const whole = indices.map((column) => product(matrix[0]![column], adjugate[column]![0]));
  return { adjugate, perDeterminant: f.define(divide(double(1), sum(present(whole)))) };
}

/** Determinant of up to two rows; undefined if it is zero. */
function determinant(matrix: Matrix): Entry {
  if (matrix.length === 0) return double(1);
  if (matrix.length === 1) return matrix[0]![0];
  const plus = product(matrix[0]![0], matrix[1]![1]);
  const minus = product(matrix[0]![1], matrix[1]![0]);
  if (plus && minus) return subtract(plus, minus);
  return plus ?? (minus && negate(minus));
}

function part(matrix: Matrix, rows: readonly number[], columns: readonly number[]): Entry[][] {
  return rows.map((row) => columns.map((column) => matrix[row]![column]));
}

function product(a: Entry, b: Entry): Entry {
  return a && b && multiply(a, b);
}

const present = (terms: readonly Entry[]): Code[] => terms.filter((term) => term !== undefined);

function defineSum(f: FunctionBuilder, terms: readonly Entry[]): Entry {
  const given = present(terms);
  return given.length > 0 ? f.define(sum(given)) : undefined;
}

/** a − Σ terms. */
function difference(f: FunctionBuilder, a: Entry, terms: readonly Entry[]): Entry {
  const given = present(terms);
  if (given.length === 0) return a;
  return f.define(a ? subtract(a, sum(given)) : negate(sum(given)));
}
