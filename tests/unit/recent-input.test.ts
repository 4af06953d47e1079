import { expect, it } from 'vitest';
import { BenchEngine } from '../../worklets/bench-engine.ts';
import type { FromProcessor } from '../../worklets/bench-messages.ts';
import { OPTIONS, RATE_HZ, run } from './engine-run.ts';

/** What the engine gives as its last playing, V. */
function recentOf(engine: BenchEngine, messages: readonly FromProcessor[]): Float32Array {
  engine.receive({ type: 'recentInput' });
  const last = messages.at(-1);
  if (last?.type !== 'recentInput') throw new Error('nothing came');
  return last.samples;
}

it('the last playing is of the present source alone, in the order in which it was played', () => {
  const messages: FromProcessor[] = [];
  const engine = new BenchEngine(OPTIONS, (message) => messages.push(message));
  run(engine, new Float32Array(7 * RATE_HZ).fill(0.5));
  expect(recentOf(engine, messages)).toHaveLength(6 * RATE_HZ);
  engine.receive({ type: 'forgetInput' });
  expect(recentOf(engine, messages)).toHaveLength(0);
  run(engine, Float32Array.of(0.125, 0.25, 0.375));
  const [first = 0, second = 0, third = 0, ...others] = recentOf(engine, messages);
  expect([second / first, third / first, others.length]).toEqual([2, 3, 0]);
});
