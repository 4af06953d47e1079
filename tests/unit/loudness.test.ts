import { describe, expect, it } from 'vitest';
import { cascadeResponseDb } from '../../engine/audio/biquad.ts';
import { kWeighting, LoudnessMeter } from '../../engine/audio/loudness.ts';
import { noise, sine } from './audio-signals.ts';

/** K-curve computed from the coefficients of ITU-R BS.1770-5 Annex 1 by SciPy: Hz, dB. */
const K_CURVE: readonly (readonly [number, number])[] = [
  [20, -13.2754],
  [38, -6.0026],
  [100, -1.1335],
  [500, 0.0425],
  [997, 0.691],
  [2000, 3.0713],
  [4000, 3.968],
  [10000, 4.0419],
];

function measure(input: Float64Array, sampleRateHz: number, block = 128): LoudnessMeter {
  const meter = new LoudnessMeter(sampleRateHz, block);
  for (let start = 0; start < input.length; start += block) {
    const piece = input.slice(start, start + block);
    meter.process(piece, piece.length);
  }
  return meter;
}

describe('kWeighting', () => {
  it('has the coefficients of ITU-R BS.1770-5 Annex 1, tables 1 and 2, at 48 kHz', () => {
    const [shelf, lowCut] = kWeighting(48000);
    // the standard prints 14 decimals; its prototype is known to about 12 digits
    expect(shelf.b0).toBeCloseTo(1.53512485958697, 11);
    expect(shelf.b1).toBeCloseTo(-2.69169618940638, 11);
    expect(shelf.b2).toBeCloseTo(1.19839281085285, 11);
    expect(shelf.a1).toBeCloseTo(-1.69065929318241, 11);
    expect(shelf.a2).toBeCloseTo(0.73248077421585, 11);
    expect([lowCut.b0, lowCut.b1, lowCut.b2]).toEqual([1, -2, 1]);
    expect(lowCut.a1).toBeCloseTo(-1.99004745483398, 11);
    expect(lowCut.a2).toBeCloseTo(0.99007225036621, 11);
  });

  it('has the published curve at 48 kHz', () => {
    for (const [hz, db] of K_CURVE) {
      expect(cascadeResponseDb(kWeighting(48000), hz, 48000)).toBeCloseTo(db, 3); // printed to 4 decimals
    }
  });

  it.each([44100, 88200, 96000])('keeps the curve at %i Hz', (sampleRateHz) => {
    for (const [hz, db] of K_CURVE) {
      // the bilinear transform changes the shelf's upper edge a little differently at each rate
      const error = cascadeResponseDb(kWeighting(sampleRateHz), hz, sampleRateHz) - db;
      expect(Math.abs(error), `${hz} Hz`).toBeLessThan(0.05);
    }
  });
});

describe('LoudnessMeter', () => {
  it.each([44100, 48000, 96000])(
    'reads -3.01 LKFS for a full-scale tone of 997 Hz at %i Hz',
    (sampleRateHz) => {
      // ITU-R BS.1770-5 Annex 1: 0 dBFS at 997 Hz in one channel reads -3.01 LKFS
      const meter = measure(sine(2 * sampleRateHz, 997, sampleRateHz), sampleRateHz);
      expect(Math.abs(meter.momentary + 3.01)).toBeLessThan(0.01);
      expect(Math.abs(meter.mean + 3.01)).toBeLessThan(0.01); // includes the first milliseconds of settling
    },
  );

  it('reads -26.01 for 1 kHz at -23 dBFS in one channel', () => {
    // EBU Tech 3341 case 1 reads -23.0 with both channels; one channel is 3.01 dB less
    const meter = measure(sine(96000, 1000, 48000, 10 ** (-23 / 20)), 48000);
    expect(Math.abs(meter.momentary + 26.01)).toBeLessThan(0.1); // tolerance of the standard's case
  });

  it('forgets after 400 ms what its mean still includes', () => {
    const input = new Float64Array(48000);
    input.set(sine(24000, 997, 48000));
    const meter = measure(input, 48000);
    expect(meter.momentary).toBeLessThan(-100);
    expect(Math.abs(meter.mean + 6.02)).toBeLessThan(0.02); // half the time: 3.01 dB below -3.01
  });

  it('shows no momentary loudness before the first 400 ms', () => {
    expect(measure(sine(19199, 997, 48000), 48000).momentary).toBe(Number.NEGATIVE_INFINITY);
    expect(measure(sine(19200, 997, 48000), 48000).momentary).toBeGreaterThan(-4);
  });

  it('does not depend on the lengths of the blocks', () => {
    const input = noise(48000, 5);
    const expected = measure(input, 48000, 512);
    for (const block of [1, 37, 128]) {
      const meter = measure(input, 48000, block);
      expect(meter.momentary).toBe(expected.momentary);
      expect(meter.mean).toBe(expected.mean);
    }
  });

  it('forgets everything on reset', () => {
    const meter = measure(noise(48000, 5), 48000);
    meter.reset();
    expect(meter.momentary).toBe(Number.NEGATIVE_INFINITY);
    expect(meter.mean).toBe(Number.NEGATIVE_INFINITY);
  });

  it('refuses a rate or block that is not positive', () => {
    expect(() => new LoudnessMeter(0, 128)).toThrow(RangeError);
    expect(() => new LoudnessMeter(48000, 0)).toThrow(RangeError);
  });
});
