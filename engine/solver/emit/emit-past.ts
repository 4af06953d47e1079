import { PAST_WEIGHTS } from '../backward-difference.ts';
import { addressOf, type Code, double, load, multiply, sum } from './wasm-code.ts';

/** As `pastOf` in backward-difference.ts, of the state or op-amp with an index. */
export function emitPast(history: Float64Array, index: number): Code {
  return sum(
    PAST_WEIGHTS.map((weight, age) => multiply(double(weight), load(addressOf(history, 3 * index + age)))),
  );
}
