import { PAST_WEIGHTS } from '../backward-difference.ts';
import { addressOf, type Code, load, multiply, sum } from './expression.ts';
import type { FunctionBuilder } from './function-builder.ts';

/** As `pastOf` in backward-difference.ts, of the state or op-amp with an index. */
export function emitPast(f: FunctionBuilder, history: Float64Array, index: number): Code {
  return sum(
    PAST_WEIGHTS.map((weight, age) =>
      multiply(load(addressOf(history, 3 * index + age)), f.constant(weight)),
    ),
  );
}
