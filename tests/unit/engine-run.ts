/** What the tests of the bench's engine play, and how they measure it. */
import type { BenchEngine } from '../../worklets/bench-engine.ts';
import type { BenchOptions } from '../../worklets/bench-messages.ts';

export const OPTIONS: BenchOptions = { sampleRateHz: 48_000, factor: 4, quality: 'low-latency' };
export const RATE_HZ = OPTIONS.sampleRateHz;

export function sine(seconds: number, peak = 0.2, hz = 220): Float32Array {
  return Float32Array.from(
    { length: RATE_HZ * seconds },
    (_, n) => peak * Math.sin((2 * Math.PI * hz * n) / RATE_HZ),
  );
}

/** Runs the whole input in blocks; before a given frame it sends a message to the engine. */
export function run(
  engine: BenchEngine,
  input: Float32Array,
  block = 128,
  at: Record<number, () => void> = {},
): Float32Array {
  const output = new Float32Array(input.length);
  const times = Object.keys(at).map(Number);
  for (let start = 0; start < input.length; ) {
    at[start]?.();
    const next = Math.min(...times.filter((time) => time > start), input.length);
    const end = Math.min(start + block, next);
    engine.process(input.subarray(start, end), output.subarray(start, end));
    start = end;
  }
  return output;
}

export const peakOf = (signal: Float32Array) =>
  signal.reduce((most, value) => Math.max(most, Math.abs(value)), 0);

/** Largest difference between two samples in a row. */
export const stepOf = (signal: Float32Array) =>
  signal.reduce((most, value, n) => (n === 0 ? 0 : Math.max(most, Math.abs(value - signal[n - 1]!))), 0);
