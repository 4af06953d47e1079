import { describe, expect, it } from 'vitest';
import { inharmonicDb } from '../benchmark/aliasing.ts';
import { sweepPlot } from '../benchmark/sweep-plot.ts';

const FRAMES = 2 ** 12;
const FACTOR = 8;
const BIN = 341;

/**
 * Cosines of [bin, amplitude] over the window of a measurement at 8x, plus a slow drift that the measurement must
 * ignore.
 */
function signalOf(parts: readonly (readonly [number, number])[], drift = 0): Float64Array {
  return Float64Array.from(
    { length: FRAMES * FACTOR },
    (_, n) =>
      parts.reduce(
        (sum, [bin, amplitude]) => sum + amplitude * Math.cos((2 * Math.PI * bin * n) / (FRAMES * FACTOR)),
        0,
      ) +
      drift * Math.exp(-n / (FRAMES * FACTOR)),
  );
}

describe('the measurement of aliasing', () => {
  it('finds the strongest component that is not a harmonic, and gives its level relative to the fundamental', () => {
    const signal = signalOf([
      [BIN, 2],
      [3 * BIN, 0.5],
      [800, 2e-5],
      [1200, 1e-6],
    ]);
    // 2e-5 relative to 2 is −100 dB. Both are on whole bins, so the window changes both equally.
    expect(inharmonicDb(signal, BIN, FRAMES)).toBeCloseTo(-100, 3);
  });

  it('finds where a harmonic folds at half the sample rate', () => {
    // The 95th harmonic of bin 341 is bin 32395 of 32768, which reads as bin 373.
    expect(95 * BIN).toBe(FRAMES * FACTOR - 373);
    const signal = signalOf([
      [BIN, 1],
      [95 * BIN, 1e-4],
    ]);
    expect(inharmonicDb(signal, BIN, FRAMES)).toBeCloseTo(-80, 3);
  });

  it('finds no aliasing in harmonics alone, above 20 kHz, or in a bias that settles', () => {
    const harmonics: [number, number][] = [1, 2, 3, 4, 5].map((n) => [n * BIN, 1 / n]);
    const beyond = Math.ceil((20_500 / 48_000) * FRAMES);
    // Only the side lobes of the window remain (−180 dB and less), and rounding.
    expect(inharmonicDb(signalOf([...harmonics, [beyond, 0.5]], 1e-3), BIN, FRAMES)).toBeLessThan(-170);
  });
});

describe('the plot of a sweep', () => {
  it('draws louder points higher, joins them, and names every curve', () => {
    const svg = sweepPlot('a title', [
      {
        name: 'first',
        points: [
          { hz: 500, decibels: -120 },
          { hz: 8000, decibels: -60 },
        ],
      },
      {
        name: 'second',
        points: [
          { hz: 500, decibels: -100 },
          { hz: 8000, decibels: -100 },
        ],
      },
    ]);
    const paths = [...svg.matchAll(/<path d="M([\d.]+) ([\d.]+)L([\d.]+) ([\d.]+)"/g)].map((match) =>
      match.slice(1).map(Number),
    );
    expect(paths).toHaveLength(2);
    const [[x0, y0, x1, y1], [, level0, , level1]] = paths as [number[], number[]];
    expect(x1!).toBeGreaterThan(x0!);
    expect(y1!).toBeLessThan(y0!);
    expect(level0).toBe(level1);
    for (const text of ['a title', 'first', 'second', '-120 dB', '1000 Hz']) expect(svg).toContain(text);
  });
});
