import type { FunctionBuilder } from './function-builder.ts';
import { type Code, divide, double, multiply, subtract } from './wasm-code.ts';

/**
 * A·x = b as straight-line Gaussian elimination in the given order, entries that are zero by structure left
 * out. The matrices are 1 − K·D of a block; their pivots stay away from zero since K takes power from the
 * devices (−K is positive semidefinite for passive parts, and an op-amp's feedback adds to the diagonal).
 *
 * @returns Code of x.
 */
export function solveStraight(
  f: FunctionBuilder,
  matrix: readonly (readonly (Code | undefined)[])[],
  rightHandSide: readonly Code[],
): Code[] {
  const n = rightHandSide.length;
  const a = matrix.map((row) => [...row]);
  const b = [...rightHandSide];
  const inverses: Code[] = [];
  for (let k = 0; k < n; k++) {
    const inverse = f.define(divide(double(1), a[k]![k] ?? double(0)));
    inverses.push(inverse);
    for (let row = k + 1; row < n; row++) {
      const entry = a[row]![k];
      if (entry === undefined) continue;
      const factor = f.define(multiply(entry, inverse));
      for (let column = k + 1; column < n; column++) {
        const above = a[k]![column];
        if (above === undefined) continue;
        a[row]![column] = f.define(subtract(a[row]![column] ?? double(0), multiply(factor, above)));
      }
      b[row] = f.define(subtract(b[row]!, multiply(factor, b[k]!)));
    }
  }
  const x: Code[] = new Array(n);
  for (let row = n - 1; row >= 0; row--) {
    let rest = b[row]!;
    for (let column = row + 1; column < n; column++) {
      const entry = a[row]![column];
      if (entry !== undefined) rest = subtract(rest, multiply(entry, x[column]!));
    }
    x[row] = f.define(multiply(rest, inverses[row]!));
  }
  return x;
}
