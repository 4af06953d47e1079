import { describe, expect, it } from 'vitest';
import { buildNoise } from '../../engine/analysis/build-noise.ts';
import type { Noise } from '../../engine/analysis/noise.ts';
import { noiseFilter, noiseOf } from '../../engine/analysis/noise-filter.ts';
import { aWeighting } from '../../engine/audio/a-weighting.ts';
import { fourierTransform } from '../../engine/audio/fourier.ts';
import { ShapedNoise } from '../../engine/audio/shaped-noise.ts';
import type { Build } from '../../engine/builds/build.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import { presetBuild } from '../preset-build.ts';

/** A filter section that changes nothing. */
const FLAT = Float64Array.of(1, 0, 0, 0, 0);

function generate(length: number, seed: number, coefficients = FLAT, block = length): Float64Array {
  const noise = new ShapedNoise({ sampleRateHz: 48_000, maxFrames: block, seed });
  noise.startWith(coefficients);
  const output = new Float64Array(length);
  const piece = new Float64Array(block);
  for (let start = 0; start < length; start += block) {
    piece.fill(0);
    noise.addTo(piece, block);
    output.set(piece, start);
  }
  return output;
}

/** Mean product of two signals, the second one delayed by some samples. */
function correlation(one: Float64Array, other: Float64Array, lag = 0): number {
  let sum = 0;
  for (let n = 0; n + lag < one.length; n++) sum += one[n]! * other[n + lag]!;
  return sum / (one.length - lag);
}

describe('white noise', () => {
  const length = 1 << 19;
  const noise = generate(length, 1);
  /** Five standard errors of a mean of this many independent numbers: one test in a million fails by chance. */
  const bound = 5 / Math.sqrt(length);

  it('has zero mean, unit variance and no correlation between samples', () => {
    expect(Math.abs(noise.reduce((sum, value) => sum + value, 0) / length)).toBeLessThan(bound);
    // The square of a sum of four uniform numbers with unit variance has a variance of 1.7 (kurtosis 2.7).
    expect(Math.abs(correlation(noise, noise) - 1)).toBeLessThan(1.4 * bound);
    for (const lag of [1, 2, 3, 7, 64]) expect(Math.abs(correlation(noise, noise, lag))).toBeLessThan(bound);
  });

  it('has the distribution of a sum of four uniform numbers: kurtosis 3 − 6/5/4', () => {
    const fourth = noise.reduce((sum, value) => sum + value ** 4, 0) / length;
    // The eighth moment gives an error of the mean near 7.5/√n.
    expect(Math.abs(fourth - 2.7)).toBeLessThan(7.5 * bound);
  });

  it('is independent for another seed, and for the same seed the same in blocks of any length', () => {
    expect(Math.abs(correlation(noise, generate(length, 2)))).toBeLessThan(bound);
    const start = noise.subarray(0, 4096);
    for (const block of [1, 128, 512]) expect(generate(4096, 1, FLAT, block)).toEqual(start);
  });
});

describe('a noise generator', () => {
  it('is silent without a filter, fades to a new filter within 30 ms, and then to the newest one that arrived meanwhile', () => {
    const noise = new ShapedNoise({ sampleRateHz: 1000, maxFrames: 1000, seed: 5 });
    const hear = (frames: number) => {
      const signal = new Float64Array(frames);
      noise.addTo(signal, frames);
      return Math.sqrt(correlation(signal, signal));
    };
    expect(hear(100)).toBe(0);
    noise.setFilter(FLAT);
    expect(hear(10)).toBeLessThan(0.6);
    noise.setFilter(FLAT.map((value) => 100 * value));
    noise.setFilter(FLAT.map((value) => 10 * value));
    hear(50);
    // RMS over 1000 samples within five standard errors.
    expect(hear(1000)).toBeGreaterThan(8.8);
    expect(hear(1000)).toBeLessThan(11.2);
    noise.setFilter(new Float64Array(0));
    hear(30);
    expect(hear(100)).toBe(0);
  });
});

it('gives the same noise in blocks of any length, with any changes of filters', () => {
  const [first, ...others] = [600, 100, 25].map((block) => {
    const noise = new ShapedNoise({ sampleRateHz: 1000, maxFrames: block, seed: 5 });
    const output: number[] = [];
    noise.setFilter(FLAT);
    noise.setFilter(FLAT.map((value) => 7 * value));
    for (let start = 0; start < 600; start += block) {
      const signal = new Float64Array(block);
      noise.addTo(signal, block);
      output.push(...signal);
    }
    return output;
  });
  for (const other of others) expect(other).toEqual(first);
});

const conditions = { temperatureK: NOMINAL_TEMPERATURE_K, isBypassed: false, around: {} } as const;
const withGain = (build: Build): Build => ({ ...build, knobs: { ...build.knobs, gain: 1 } });

describe('the noise of a build', () => {
  /** About 22 s; a third-octave band at 100 Hz then averages 500 bins, ±0.19 dB. */
  const length = 1 << 20;
  const rateHz = 48_000;

  /** Mean square between two frequencies, V², weighted on request. */
  function powerOf(spectrum: Float64Array, fromHz: number, toHz: number, weight = (_: number) => 1): number {
    let sum = 0;
    const step = rateHz / length;
    for (let bin = Math.ceil(fromHz / step); bin < toHz / step; bin++)
      sum += spectrum[bin]! * weight(bin * step) ** 2;
    return sum;
  }

  function spectrumOf(noise: Noise, seed: number): Float64Array {
    const re = new Float64Array(length);
    const maxFrames = re.length;
    noiseOf(noiseFilter(noise.points, rateHz), { sampleRateHz: rateHz, maxFrames, seed }).addTo(
      re,
      maxFrames,
    );
    const im = new Float64Array(length);
    fourierTransform(re, im);
    return re.map((value, bin) => (2 * (value ** 2 + im[bin]! ** 2)) / length ** 2);
  }

  /** Mean square of each bin from the analysis, with its points joined by straight lines in the logarithms. */
  function expectedSpectrum({ points }: Noise): Float64Array {
    const spectrum = new Float64Array(length);
    const step = rateHz / length;
    for (let index = 0; index + 1 < points.length; index++) {
      const [from, to] = [points[index]!, points[index + 1]!];
      const slope = Math.log(to.outputVPerRtHz / from.outputVPerRtHz) / Math.log(to.hz / from.hz);
      for (let bin = Math.ceil(from.hz / step); bin * step < to.hz; bin++) {
        spectrum[bin] = step * (from.outputVPerRtHz * ((bin * step) / from.hz) ** slope) ** 2;
      }
    }
    return spectrum;
  }

  it.each([
    ['soft-plain', 'pickup'],
    ['clean-plain', 'pickup'],
    ['soft-germanium', 'shorted'],
  ] as const)('sounds as the analysis of %s says, level and spectrum, with the input %s', (preset, input) => {
    const noise = buildNoise(withGain(presetBuild(preset)), { input, ...conditions });
    const spectrum = spectrumOf(noise, 3);
    const expected = expectedSpectrum(noise);
    const db = (ratio: number) => 10 * Math.log10(ratio);
    // A-weighted level: the fit's error averages out; half a decibel is the smallest difference that an ear hears.
    expect(Math.abs(db(powerOf(spectrum, 20, 20_000, aWeighting) / noise.weightedV ** 2))).toBeLessThan(0.2);
    expect(Math.abs(db(powerOf(spectrum, 20, 20_000) / noise.outputV ** 2))).toBeLessThan(0.2);
    // Third octaves from 200 Hz, where the mean of a thousand bins is good to ±0.14 dB.
    for (let n = 23; n <= 42; n++) {
      const edges = [10 ** ((n - 0.5) / 10), 10 ** ((n + 0.5) / 10)] as const;
      const ratio = powerOf(spectrum, ...edges) / powerOf(expected, ...edges);
      expect(Math.abs(db(ratio)), `${edges[0].toFixed(0)} Hz`).toBeLessThan(0.5);
    }
  });

  it('has a filter that follows it within 0.75 dB at every point and rate, and no filter where there is no noise', () => {
    for (const preset of ['soft-plain', 'soft-lifted', 'clean-single']) {
      const { points } = buildNoise(withGain(presetBuild(preset)), { input: 'pickup', ...conditions });
      // clean-single has the most, 0.72 dB, where its clipped path rolls off beside the clean one
      for (const sampleRateHz of [44_100, 48_000, 96_000])
        expect(noiseFilter(points, sampleRateHz).worstDb).toBeLessThan(0.75);
    }
    const silent = [{ hz: 1000, outputVPerRtHz: 0, inputVPerRtHz: 0 }];
    expect(noiseFilter(silent, 48_000).coefficients.length).toBe(0);
  });
});
