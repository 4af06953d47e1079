import { add, type Code, multiply, STEPS_PER_OCTAVE, subtract, tablePower } from './expression.ts';
import type { FunctionBuilder } from './function-builder.ts';

/** Adding 1.5·2^52 to a double leaves the nearest integer in its low bits, as two's complement. */
const ROUND_TO_WHOLE = 1.5 * 2 ** 52;

/** 2^(j/512) for j from 0 to 511: what {@link exponential} reads. */
const EXPONENTIAL_TABLE = Float64Array.from(
  { length: STEPS_PER_OCTAVE },
  (_, step) => 2 ** (step / STEPS_PER_OCTAVE),
);

/**
 * e^x = 2^k·2^(j/512)·e^r with |r| ≤ ln 2 / 1024: the middle factor from a table of 4 KiB, the last by its Taylor polynomial
 * of degree 3. The polynomial is exact to r⁴/24 = 9e-15, r to the rounding of x, 1.4e-14 at x = 100.
 *
 * @param x Code without side effects; between −700 and 700, or NaN, which gives NaN.
 * @see P. T. P. Tang, ACM Trans. Math. Software 15 (1989), 144, on the method
 */
export function exponential(f: FunctionBuilder, x: Code): Code {
  const constant = (value: number) => f.constant(value);
  const scaled = multiply(x, constant(STEPS_PER_OCTAVE * Math.LOG2E));
  const shifted = f.define(add(scaled, constant(ROUND_TO_WHOLE)));
  const steps = subtract(shifted, constant(ROUND_TO_WHOLE));
  const r = f.define(subtract(x, multiply(steps, constant(Math.LN2 / STEPS_PER_OCTAVE))));
  const power = tablePower(shifted, f.table(EXPONENTIAL_TABLE));
  const r2 = f.define(multiply(r, r));
  const low = add(r, constant(1));
  const high = add(multiply(r, constant(1 / 6)), constant(1 / 2));
  return f.define(multiply(power, add(low, multiply(r2, high))));
}
