import { describe, expect, it } from 'vitest';
import { resample } from '../../engine/audio/resample.ts';
import { decibels, noise, sine } from './audio-signals.ts';

/** Largest difference, not counting the ends with silence around the signal, dB relative to 1. */
function errorDb(actual: Float64Array, expected: Float64Array, margin: number): number {
  let most = 0;
  for (let n = margin; n < actual.length - margin; n++)
    most = Math.max(most, Math.abs(actual[n]! - expected[n]!));
  return decibels(most);
}

describe('resample', () => {
  it.each([
    [44100, 48000],
    [48000, 44100],
    [44100, 96000],
    [96000, 44100],
    [192000, 48000],
    [11025, 48000],
    [44100, 44101],
  ])('gives the same sine at the other rate, %i to %i Hz', (from, to) => {
    const pass = 20000 / 44100;
    for (const hz of [50, 997, 0.2 * Math.min(from, to), pass * Math.min(from, to)]) {
      const frames = Math.round(from / 20);
      const output = resample(sine(frames, hz, from), from, to);
      expect(output.length).toBe(Math.round((frames * to) / from));
      // a sine is known at every time; the filter was designed for 105 dB
      expect(errorDb(output, sine(output.length, hz, to), Math.round(0.012 * to)), `${hz} Hz`).toBeLessThan(
        -100,
      );
    }
  });

  it.each([23000, 30000, 40000, 60000])('removes %i Hz in the change from 192 to 44.1 kHz', (hz) => {
    const output = resample(sine(9600, hz, 192000), 192000, 44100);
    expect(errorDb(output, new Float64Array(output.length), 500)).toBeLessThan(-100);
  });

  it('copies at the same rate', () => {
    const input = noise(100, 1);
    const output = resample(input, 48000, 48000);
    expect(output).toEqual(input);
    expect(output).not.toBe(input);
  });

  it('gives an empty output for an empty input', () => {
    expect(resample(new Float64Array(0), 44100, 48000).length).toBe(0);
  });

  it('refuses rates that are not positive whole numbers', () => {
    expect(() => resample(new Float64Array(1), 0, 48000)).toThrow(RangeError);
    expect(() => resample(new Float64Array(1), 44100.5, 48000)).toThrow(RangeError);
  });
});
