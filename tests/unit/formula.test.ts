import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { DeviceKind } from '../../engine/devices/devices.ts';
import { deviceModel } from '../../engine/devices/devices.ts';
import {
  absolute,
  add,
  choose,
  derivative,
  divide,
  exponential,
  type Formula,
  fixedParts,
  greater,
  input,
  less,
  logarithm,
  maximum,
  minimum,
  multiply,
  negate,
  number,
  parameter,
  positiveSquare,
  saturating,
  squareRoot,
  subtract,
} from '../../engine/devices/formula.ts';
import { deviceFunctions, VOLTS } from '../../engine/solver/device-functions.ts';
import { emitFormulas } from '../../engine/solver/emit/emit-formula.ts';
import { type Code, load } from '../../engine/solver/emit/expression.ts';
import { FunctionBuilder, type Statement } from '../../engine/solver/emit/function-builder.ts';
import { FormulaTape } from '../../engine/solver/formula-tape.ts';

const X = input('x');
const P = parameter('p');

/** A formula beside the same function written with numbers. */
interface Pair {
  readonly formula: Formula;
  readonly of: (x: number, p: number) => number;
}

const unary = (make: (a: Formula) => Formula, value: (a: number) => number) => (a: Pair) => ({
  formula: make(a.formula),
  of: (x: number, p: number) => value(a.of(x, p)),
});
const binary =
  (make: (a: Formula, b: Formula) => Formula, value: (a: number, b: number) => number) =>
  (a: Pair, b: Pair) => ({
    formula: make(a.formula, b.formula),
    of: (x: number, p: number) => value(a.of(x, p), b.of(x, p)),
  });

/** Smooth functions of bounded values, so that a difference quotient gives the derivative. */
const UNARY = [
  unary(negate, (a) => -a),
  unary(saturating, (a) => a / Math.hypot(1, a)),
  unary(
    (a) => exponential(saturating(a)),
    (a) => Math.exp(a / Math.hypot(1, a)),
  ),
  unary(
    (a) => squareRoot(add(multiply(a, a), number(1))),
    (a) => Math.hypot(a, 1),
  ),
  unary(
    (a) => logarithm(add(multiply(a, a), number(2))),
    (a) => Math.log(a * a + 2),
  ),
  unary(
    (a) => positiveSquare(saturating(a)),
    (a) => Math.max(a / Math.hypot(1, a), 0) ** 2,
  ),
  unary(
    (a) => choose(less(a, number(0)), negate(multiply(a, a)), multiply(a, a), 'neither'),
    (a) => a * Math.abs(a),
  ),
];
const BINARY = [
  binary(add, (a, b) => a + b),
  binary(subtract, (a, b) => a - b),
  binary(
    (a, b) => multiply(saturating(a), saturating(b)),
    (a, b) => (a / Math.hypot(1, a)) * (b / Math.hypot(1, b)),
  ),
  binary(
    (a, b) => divide(a, add(number(2), multiply(b, b))),
    (a, b) => a / (2 + b * b),
  ),
];
const LEAVES: readonly Pair[] = [
  { formula: X, of: (x) => x },
  { formula: P, of: (_, p) => p },
  ...[0, 1, -1, 2.5].map((value) => ({ formula: number(value), of: () => value })),
];

const { pair } = fc.letrec<{ pair: Pair }>((tie) => ({
  pair: fc.oneof(
    { depthSize: 'small' },
    fc.constantFrom(...LEAVES),
    fc.tuple(fc.constantFrom(...UNARY), tie('pair')).map(([make, a]) => make(a)),
    fc.tuple(fc.constantFrom(...BINARY), tie('pair'), tie('pair')).map(([make, a, b]) => make(a, b)),
  ),
}));

describe('a formula', () => {
  const at = fc.double({ min: -3, max: 3, noNaN: true });

  it('has the value of its parts, and the derivative of that value', () => {
    fc.assert(
      fc.property(pair, at, at, ({ formula, of }, x, p) => {
        const tape = new FormulaTape([formula, derivative(formula, X)], ['x'], ['p']);
        tape.inputs[0] = x;
        tape.run(Float64Array.of(p), 0);
        const value = of(x, p);
        // The exponential of emitted code is good to 2e-13.
        expect(Math.abs(tape.outputs[0]! - value)).toBeLessThan(1e-11 * (1 + Math.abs(value)));
        const h = 1e-5;
        const slope = (of(x + h, p) - of(x - h, p)) / (2 * h);
        // Third derivatives of such functions are below some hundreds, and h² times this is 1e-8. Where a second
        // derivative jumps, the error is h times the jump.
        expect(Math.abs(tape.outputs[1]! - slope)).toBeLessThan(1e-4 * (1 + Math.abs(slope)));
      }),
      { seed: 1, numRuns: 400 },
    );
  });

  it('has the derivatives of minimum, maximum and magnitude on both sides of their corner', () => {
    for (const [formula, below, above] of [
      [minimum(X, number(1)), 1, 0],
      [maximum(X, number(1)), 0, 1],
      [absolute(subtract(X, number(1))), -1, 1],
      [choose(greater(X, number(1)), multiply(X, number(3)), negate(X)), -1, 3],
    ] as const) {
      const tape = new FormulaTape([derivative(formula, X)], ['x'], []);
      for (const [x, expected] of [
        [0.5, below],
        [1.5, above],
      ] as const) {
        tape.inputs[0] = x;
        tape.run(new Float64Array(0), 0);
        expect(tape.outputs[0]).toBe(expected);
      }
    }
  });

  it('is one object for equal formulas, and keeps constants as one factor', () => {
    expect(add(X, P)).toBe(add(X, P));
    expect(multiply(multiply(X, P), number(2))).toBe(multiply(X, multiply(P, number(2))));
    expect(fixedParts([divide(multiply(X, P), add(P, number(1)))])).toHaveLength(1);
    expect(derivative(P, X)).toBe(number(0));
    for (const a of [X, P]) {
      expect(multiply(a, number(-1))).toBe(negate(a));
      expect(multiply(number(-1), a)).toBe(negate(a));
    }
    expect(number(-0)).not.toBe(number(0));
  });
});

/** The number of times an operation is in the code. */
function countOf(statements: readonly Statement[], op: Code['op']): number {
  const inCode = (code: Code): number =>
    (code.op === op ? 1 : 0) + code.args.reduce((sum, arg) => sum + inCode(arg), 0);
  return statements.reduce((sum, statement) => {
    if (statement.kind === 'when')
      return sum + countOf([...statement.whenTrue, ...statement.whenFalse], op) + inCode(statement.condition);
    if (statement.kind === 'loop') return sum + countOf(statement.body, op);
    if (statement.kind === 'cut' || statement.kind === 'segment') return sum;
    return sum + inCode('value' in statement ? statement.value : statement.condition);
  }, 0);
}

describe('code of a device', () => {
  it.each<[DeviceKind, number]>([
    ['diode', 1],
    // The third is that of the collector's leakage, which a branch skips where there is none.
    ['npn', 3],
    ['pnp', 3],
    ['nJfet', 2],
    ['pJfet', 2],
    ['nMosfet', 0],
  ])('has an exponential for each junction of a %s, which current and slopes share', (kind, junctions) => {
    const f = new FunctionBuilder(2, 0);
    const { currents, slopes, parts } = deviceFunctions(kind);
    const inputs = Object.fromEntries(VOLTS.map((name, port) => [name, load(8 * port)]));
    const places = { given: 100, names: deviceModel(kind).parameters, derived: 200, parts };
    const codes = emitFormulas(f, [...currents, ...slopes.flat()], inputs, places);
    for (const code of codes) f.define(code);
    expect(countOf(f.statements, 'tablePower')).toBe(junctions);
    // What depends only on the numbers of the device is read, so that no sample needs a division for it.
    expect(countOf(f.statements, 'divide')).toBe(0);
  });
});
