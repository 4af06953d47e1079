import { describe, expect, it } from 'vitest';
import { type Pluck, pluckedPhrase, pluckedString } from '../../engine/audio/plucked-string.ts';
import { decibels, toneAt } from './audio-signals.ts';

const PLUCK: Pluck = {
  frequencyHz: 110,
  seconds: 1,
  sampleRateHz: 48000,
  decaySeconds: 4,
  pickPosition: 0.17,
  seed: 1,
};

/** Normalised autocorrelation at a lag, over the signal from `start` on. */
function correlation(signal: Float64Array, lag: number, start: number): number {
  let cross = 0;
  let first = 0;
  let second = 0;
  for (let n = start; n + lag < signal.length; n++) {
    cross += signal[n]! * signal[n + lag]!;
    first += signal[n]! ** 2;
    second += signal[n + lag]! ** 2;
  }
  return cross / Math.sqrt(first * second);
}

/** Pitch from the autocorrelation's peak near the period, over many periods for a finer result. */
function pitchHz(signal: Float64Array, near: number, sampleRateHz: number): number {
  const periods = Math.max(1, Math.round(near / 40));
  const start = Math.round(0.3 * sampleRateHz);
  const centre = (periods * sampleRateHz) / near;
  let best = Math.round(centre);
  const reach = Math.ceil(sampleRateHz / near / 8);
  for (let lag = Math.floor(centre - reach); lag <= centre + reach; lag++) {
    if (correlation(signal, lag, start) > correlation(signal, best, start)) best = lag;
  }
  const [left, middle, right] = [best - 1, best, best + 1].map((lag) => correlation(signal, lag, start));
  const offset = (0.5 * (left! - right!)) / (left! - 2 * middle! + right!);
  return (periods * sampleRateHz) / (best + offset);
}

function rms(signal: Float64Array): number {
  return Math.sqrt(signal.reduce((sum, x) => sum + x * x, 0) / signal.length);
}

describe('pluckedString', () => {
  it.each([44100, 48000, 96000])('is in tune within 3 cents at %i Hz', (sampleRateHz) => {
    for (const frequencyHz of [82.41, 110, 146.83, 196, 246.94, 329.63, 659.26, 987.77]) {
      const tone = pluckedString({ ...PLUCK, frequencyHz, sampleRateHz });
      const cents = 1200 * Math.log2(pitchHz(tone, frequencyHz, sampleRateHz) / frequencyHz);
      expect(Math.abs(cents), `${frequencyHz} Hz`).toBeLessThan(3); // less than a good ear hears
    }
  });

  it('loses 60 dB of its fundamental in the stated time', () => {
    const tone = pluckedString({ ...PLUCK, seconds: 3, decaySeconds: 2, frequencyHz: 100 });
    const level = (start: number): number => toneAt(tone.slice(start, start + 24000), 100, 48000).amplitude;
    // 1.5 s later, of 2 s for 60 dB; the window is wide enough that the loop's own pitch error does not matter
    expect(decibels(level(24000) / level(96000))).toBeCloseTo(45, 1);
  });

  it('has no partial with a node at the plucking point', () => {
    // plucked at a quarter of the string: the fourth partial is missing
    const power = (number: number): number =>
      [1, 2, 3, 4, 5].reduce((sum, seed) => {
        const tone = pluckedString({ ...PLUCK, frequencyHz: 120, pickPosition: 0.25, seconds: 0.5, seed });
        return sum + toneAt(tone, 120 * number, 48000).amplitude ** 2;
      }, 0);
    // The burst is a whole number of samples and a little shorter than the period, so the node is not exact;
    // five seeds average the noise
    expect(10 * Math.log10(power(4) / power(3))).toBeLessThan(-20);
    expect(10 * Math.log10(power(4) / power(5))).toBeLessThan(-20);
  });

  it('is the same only for the same seed, and has a peak of one', () => {
    const tone = pluckedString(PLUCK);
    expect(pluckedString(PLUCK)).toEqual(tone);
    expect(pluckedString({ ...PLUCK, seed: 2 })).not.toEqual(tone);
    expect(tone.reduce((most, x) => Math.max(most, Math.abs(x)), 0)).toBe(1);
  });

  it('refuses a pitch that does not fit the sample rate, and times that are not positive', () => {
    expect(() => pluckedString({ ...PLUCK, frequencyHz: 13000 })).toThrow(RangeError);
    expect(() => pluckedString({ ...PLUCK, frequencyHz: 10 })).toThrow(RangeError);
    expect(() => pluckedString({ ...PLUCK, seconds: 0 })).toThrow(RangeError);
  });
});

describe('pluckedPhrase', () => {
  it.each([44100, 48000, 96000])('lasts 4.8 s and peaks at the stated voltage at %i Hz', (sampleRateHz) => {
    const phrase = pluckedPhrase({ sampleRateHz, peakVolts: 0.3, seed: 1 });
    expect(phrase.length).toBe(Math.round(4.8 * sampleRateHz));
    expect(phrase.reduce((most, x) => Math.max(most, Math.abs(x)), 0)).toBeCloseTo(0.3, 12); // rounding
  });

  it('is never silent for long, and has no DC offset', () => {
    const phrase = pluckedPhrase({ sampleRateHz: 48000, peakVolts: 0.3, seed: 1 });
    for (let start = 0; start < phrase.length; start += 4800) {
      expect(rms(phrase.subarray(start, start + 4800))).toBeGreaterThan(0.001); // 50 dB below the peak
    }
    expect(Math.abs(phrase.reduce((a, b) => a + b, 0) / phrase.length)).toBeLessThan(1e-4); // 0.03 % of the peak
  });
});
