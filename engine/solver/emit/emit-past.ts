import { STEP_FORMULAS, type StepFormulaName } from '../backward-difference.ts';
import { addressOf, type Code, load, multiply, sum } from './expression.ts';
import type { FunctionBuilder } from './function-builder.ts';

/** q̂ of backward-difference.ts, of the state or op-amp with an index. @param history Three for each state, the latest first. */
export function emitPast(
  f: FunctionBuilder,
  formula: StepFormulaName,
  history: Float64Array,
  index: number,
): Code {
  return sum(
    STEP_FORMULAS[formula].weights.map((weight, age) =>
      multiply(load(addressOf(history, 3 * index + age)), f.constant(weight)),
    ),
  );
}
