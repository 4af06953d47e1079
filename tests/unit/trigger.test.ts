import { expect, it } from 'vitest';
import { lastRise } from '../../engine/analysis/trigger.ts';

const sine = (period: number, phase = 0, ripple = 0) =>
  Float32Array.from(
    { length: 2000 },
    (_, n) => Math.sin((2 * Math.PI * n) / period + phase) + (n % 2 === 0 ? ripple : -ripple),
  );

it('finds the last rise through zero within the given limits', () => {
  // Half a sample late, so that no sample is exactly zero: rises between 100·k − 1 and 100·k.
  const signal = sine(100, Math.PI / 100);
  expect(lastRise(signal, 0, 2000)).toBe(1900);
  expect(lastRise(signal, 0, 1850)).toBe(1800);
  expect(lastRise(signal, 450, 520)).toBe(500);
  expect(lastRise(signal, 510, 590)).toBe(-1);
});

it('ignores ripple around zero, and silence', () => {
  // A ripple of 2 % crosses zero several times near each crossing; each rise is found once and early.
  const rippled = sine(500, 0, 0.02);
  const rises = [700, 1200, 1700].map((to) => lastRise(rippled, 0, to));
  expect(rises.map((rise, k) => Math.abs(rise - 500 * (k + 1)) < 5)).toEqual([true, true, true]);
  expect(lastRise(new Float32Array(2000), 0, 2000)).toBe(-1);
  expect(
    lastRise(
      sine(100).map((value) => 1e-5 * value),
      0,
      2000,
    ),
  ).toBe(-1);
});
