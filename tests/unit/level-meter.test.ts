import { describe, expect, it } from 'vitest';
import { LevelMeter, type LevelMeterOptions, METER_BALLISTICS } from '../../engine/audio/level-meter.ts';
import { decibels, noise, sine } from './audio-signals.ts';

const OPTIONS: LevelMeterOptions = { sampleRateHz: 48000, fullScaleVolts: 2, ...METER_BALLISTICS };

function measure(input: Float64Array, block = 128): LevelMeter {
  const meter = new LevelMeter(OPTIONS);
  for (let start = 0; start < input.length; start += block) {
    const piece = input.slice(start, start + block);
    meter.process(piece, piece.length);
  }
  return meter;
}

describe('LevelMeter', () => {
  it('reads peak and RMS of a sine in volts', () => {
    const meter = measure(sine(144000, 1000, 48000, 1.5));
    expect(meter.peakVolts).toBeCloseTo(1.5, 3); // the peak falls between samples
    // ten time constants leave 5e-5; the ripple at 2 kHz is 1 / (2 π 4000 0.3 s), under 2e-4
    expect(Math.abs(meter.rmsVolts / (1.5 * Math.SQRT1_2) - 1)).toBeLessThan(3e-4);
  });

  it('keeps a peak for a second, then lets it fall by 20 dB a second', () => {
    const impulse = (seconds: number): Float64Array => {
      const signal = new Float64Array(Math.round(48000 * seconds) + 1);
      signal[0] = 1;
      return signal;
    };
    expect(measure(impulse(0.999)).peakVolts).toBe(1);
    expect(decibels(measure(impulse(1.5)).peakVolts)).toBeCloseTo(-10, 6); // rounding over 24000 factors
    expect(decibels(measure(impulse(2)).peakVolts)).toBeCloseTo(-20, 6);
  });

  it('counts a run of three or more full-scale samples once', () => {
    const clipsOf = (...samples: number[]): number => measure(Float64Array.from(samples)).clips;
    expect(clipsOf(2, 2, 0, -2, 2, 0)).toBe(0);
    expect(clipsOf(2, -2, 2, 0)).toBe(1);
    expect(clipsOf(2, 2, 2, 2, 2, 2, 2)).toBe(1);
    expect(clipsOf(2, 2, 2, 1.99, 2, 2, 2)).toBe(2);
  });

  it('counts non-finite samples as clipped and keeps its levels', () => {
    const meter = measure(Float64Array.from([0.5, Number.NaN, Number.POSITIVE_INFINITY, Number.NaN, 0.25]));
    expect(meter.clips).toBe(1);
    expect(meter.peakVolts).toBe(0.5);
    expect(Number.isFinite(meter.rmsVolts)).toBe(true);
  });

  it('does not depend on the lengths of the blocks', () => {
    const input = noise(10000, 8).map((x) => 2.5 * x);
    const readings = (block: number): number[] => {
      const { peakVolts, rmsVolts, clips } = measure(input, block);
      return [peakVolts, rmsVolts, clips];
    };
    for (const block of [1, 37, 128]) expect(readings(block)).toEqual(readings(512));
  });

  it('forgets everything on reset', () => {
    const meter = measure(noise(1000, 1));
    meter.reset();
    expect([meter.peakVolts, meter.rmsVolts, meter.clips]).toEqual([0, 0, 0]);
  });

  it('refuses levels and times that are not positive', () => {
    expect(() => new LevelMeter({ ...OPTIONS, fullScaleVolts: 0 })).toThrow(RangeError);
    expect(() => new LevelMeter({ ...OPTIONS, rmsSeconds: Number.NaN })).toThrow(RangeError);
  });
});
