import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { LIMITER_TIMES, Limiter, type LimiterOptions } from '../../engine/audio/limiter.ts';
import { SlidingMaximum } from '../../engine/audio/sliding-maximum.ts';
import { decibels, inBlocks, noise, sine, toneAt } from './audio-signals.ts';

const OPTIONS: LimiterOptions = { sampleRateHz: 48000, ceiling: 0.9, ...LIMITER_TIMES };

function limit(input: Float64Array, block = 128, limiter = new Limiter(OPTIONS)): Float64Array {
  return inBlocks(input, block, (x, n, y) => limiter.process(x, n, y));
}

function peak(signal: Float64Array): number {
  return signal.reduce((most, x) => Math.max(most, Math.abs(x)), 0);
}

describe('Limiter', () => {
  it('never exceeds its ceiling, whatever the input', () => {
    const anything = fc.oneof(
      fc.double(),
      fc.double({ min: -3, max: 3 }),
      fc.constantFrom(Number.POSITIVE_INFINITY, Number.NaN, 1e308, -1e308, 0.9, 0.9000000000000001),
    );
    const pieces = fc.array(fc.tuple(anything, fc.integer({ min: 1, max: 200 })), { maxLength: 30 });
    fc.assert(
      fc.property(pieces, fc.integer({ min: 1, max: 300 }), (steps, block) => {
        const input = Float64Array.from(steps.flatMap(([value, length]) => Array(length).fill(value)));
        const output = limit(input, block);
        expect(output.every((x) => Math.abs(x) <= 0.9)).toBe(true);
      }),
      { numRuns: 200, seed: 1 },
    );
  });

  it('never exceeds its ceiling on noise at any level', () => {
    for (const level of [0.5, 1, 3, 100, 1e6]) {
      const input = noise(20000, 11).map((x) => x * level);
      expect(peak(limit(input))).toBeLessThanOrEqual(0.9);
    }
  });

  it('only delays a signal below the ceiling and does not change one bit of it', () => {
    const limiter = new Limiter(OPTIONS);
    const input = noise(4000, 2).map((x) => x * 0.9);
    const output = limit(input, 128, limiter);
    expect(limiter.latencySamples).toBe(48);
    expect(output.subarray(48)).toEqual(input.subarray(0, 4000 - 48));
    expect(limiter.active).toBe(false);
    expect(limiter.gainReductionDb).toBe(0);
  });

  it('is bit-transparent again after it has recovered from a peak', () => {
    const input = noise(48000 * 6, 9).map((x) => x * 0.8);
    input[100] = 40;
    const output = limit(input);
    const tail = 48000 * 5; // ln(2^40) time constants of 0.15 s, and one for the last steps: 4.3 s
    expect(output.subarray(tail + 48)).toEqual(input.subarray(tail, input.length - 48));
  });

  it('reports the gain reduction of a steady tone', () => {
    const limiter = new Limiter(OPTIONS);
    limit(sine(9600, 1000, 48000, 1.8), 128, limiter);
    expect(limiter.active).toBe(true);
    expect(limiter.gainReductionDb).toBeCloseTo(decibels(0.5), 4); // 0.9 over 1.8; the peak falls between samples
  });

  it('does not distort a low note at 6 dB over the ceiling', () => {
    for (const hz of [41.2, 82.4, 110]) {
      const output = limit(sine(96000, hz, 48000, 1.8));
      const fundamental = toneAt(output, hz, 48000, 48000).amplitude;
      for (const harmonic of [2, 3, 4, 5]) {
        const level = toneAt(output, hz * harmonic, 48000, 48000).amplitude / fundamental;
        expect(decibels(level), `${harmonic} x ${hz} Hz`).toBeLessThan(-80); // inaudible under the note
      }
    }
  });

  it('replaces non-finite samples by silence and counts them', () => {
    const limiter = new Limiter(OPTIONS);
    const input = new Float64Array([Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, 0.5]);
    const output = limit(Float64Array.from([...input, ...new Float64Array(48)]), 128, limiter);
    expect(limiter.nonFiniteSamples).toBe(3);
    expect([...output.subarray(48)]).toEqual([0, 0, 0, 0.5]);
    limiter.reset();
    expect(limiter.nonFiniteSamples).toBe(0);
  });

  it('does not depend on the lengths of the blocks', () => {
    const input = noise(3000, 4).map((x) => x * 2);
    const expected = limit(input, 512);
    for (const block of [1, 37, 128]) expect(limit(input, block)).toEqual(expected);
  });

  it('may write its output into its input array', () => {
    const input = noise(512, 4).map((x) => x * 2);
    const expected = limit(input, 512);
    new Limiter(OPTIONS).process(input, 512, input);
    expect(input).toEqual(expected);
  });

  it('returns to its first state on reset', () => {
    const limiter = new Limiter(OPTIONS);
    const input = noise(1000, 6).map((x) => x * 4);
    const first = limit(input, 100, limiter);
    limiter.reset();
    expect(limit(input, 100, limiter)).toEqual(first);
  });

  it('refuses a ceiling or time that is not positive', () => {
    expect(() => new Limiter({ ...OPTIONS, ceiling: 0 })).toThrow(RangeError);
    expect(() => new Limiter({ ...OPTIONS, releaseSeconds: Number.NaN })).toThrow(RangeError);
    expect(() => new Limiter({ ...OPTIONS, holdSeconds: -1 })).toThrow(RangeError);
  });
});

describe('SlidingMaximum', () => {
  it('equals the maximum of the last values, computed directly', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 20 }),
        fc.array(fc.integer({ min: 0, max: 9 })),
        (window, values) => {
          const signal = Float64Array.from(values);
          const expected = signal.map((_, n) =>
            Math.max(...values.slice(Math.max(0, n - window + 1), n + 1)),
          );
          new SlidingMaximum(window).process(signal, signal.length);
          expect(signal).toEqual(expected);
        },
      ),
    );
  });

  it('refuses an empty window', () => {
    expect(() => new SlidingMaximum(0)).toThrow(RangeError);
  });
});
