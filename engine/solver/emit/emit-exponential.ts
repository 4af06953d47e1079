import type { FunctionBuilder } from './function-builder.ts';
import {
  add,
  addLong,
  both,
  type Code,
  double,
  doubleOfLong,
  integer,
  loadLongAt,
  long,
  longOfDouble,
  lowHalf,
  multiply,
  shiftLeft,
  shiftLeftLong,
  shiftRightLong,
  subtract,
} from './wasm-code.ts';

/** Steps of the table to a factor of two. */
const STEPS_PER_OCTAVE = 64;
const STEP_BITS = 6;
/** Adding it to a double leaves the nearest whole number in the low bits, two's complement: 1.5·2^52. */
const ROUND_TO_WHOLE = 1.5 * 2 ** 52;
const EXPONENT_SHIFT = 52;

/** 2^(j/64) for j from 0 to 63: what {@link exponential} reads. */
export const EXPONENTIAL_TABLE = Float64Array.from(
  { length: STEPS_PER_OCTAVE },
  (_, step) => 2 ** (step / STEPS_PER_OCTAVE),
);

/**
 * e^x = 2^k·2^(j/64)·e^r with |r| ≤ ln 2 / 128: the middle factor from a table, the last by its Taylor polynomial of
 * degree 4. The polynomial is exact to r⁵/120 = 4e-14, r to the rounding of x, 7e-15 at x = 60.
 *
 * @param x Code without side effects; between −700 and 700, or not a number, which the result then is too.
 * @param tableAddress Of {@link EXPONENTIAL_TABLE}.
 * @see P. T. P. Tang, ACM Trans. Math. Software 15 (1989), 144, on the method
 */
export function exponential(f: FunctionBuilder, x: Code, tableAddress: number): Code {
  const shifted = f.define(add(multiply(x, double(STEPS_PER_OCTAVE * Math.LOG2E)), double(ROUND_TO_WHOLE)));
  const steps = subtract(shifted, double(ROUND_TO_WHOLE));
  const r = f.define(subtract(x, multiply(steps, double(Math.LN2 / STEPS_PER_OCTAVE))));
  const bits = longOfDouble(shifted);
  const entry = shiftLeft(both(lowHalf(bits), integer(STEPS_PER_OCTAVE - 1)), integer(3));
  const octaves = shiftLeftLong(shiftRightLong(bits, long(STEP_BITS)), long(EXPONENT_SHIFT));
  const power = doubleOfLong(addLong(loadLongAt(entry, tableAddress), octaves));
  const r2 = f.define(multiply(r, r));
  const high = add(add(double(1 / 2), multiply(r, double(1 / 6))), multiply(r2, double(1 / 24)));
  return f.define(multiply(power, add(add(double(1), r), multiply(r2, high))));
}
