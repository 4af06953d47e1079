import { describe, expect, test } from 'vitest';
import { bandLimit, kernel, OUTPUT_RATE_HZ, REACH } from '../reference/band-limit.ts';
import { errorDb, waveErrorDb } from '../reference/error-db.ts';
import { type Signal, sampleSignal, signalOf, sine } from '../reference/signals.ts';
import {
  loadDiodeClipperVectors,
  loadPresetVectors,
  loadSharedVectors,
  type PresetVectors,
  REFERENCE_PRESETS,
} from '../reference/vectors.ts';

const DURATION_SECONDS = 0.006;

function filtered(signal: Signal, factor: number): Float64Array {
  return bandLimit(sampleSignal(signal, OUTPUT_RATE_HZ * factor, DURATION_SECONDS), factor);
}

function peak(values: Float64Array): number {
  return values.reduce((largest, value) => Math.max(largest, Math.abs(value)), 0);
}

describe('signals of the reference', () => {
  const shared = loadSharedVectors();

  test.each(shared.signals)('$name has the values that Python wrote', ({ input, volts }) => {
    const signal = signalOf(input);
    const ours = Float64Array.from(shared.timesSeconds, signal);
    // Rounding of sine arguments up to 814 rad times 2^-53, at peaks up to 2 V.
    for (let k = 0; k < volts.length; k += 1) expect(Math.abs(ours[k]! - volts[k]!)).toBeLessThan(3e-13);
  });

  test('are silent before time zero', () => {
    for (const { input } of shared.signals) expect(signalOf(input)(-1e-3)).toBe(0);
  });
});

describe('low-pass of the reference', () => {
  const shared = loadSharedVectors();

  test('has the kernel that Python wrote', () => {
    const { tausSeconds, values } = shared.kernel;
    for (let k = 0; k < values.length; k += 1) {
      // numpy's Bessel function is a Chebyshev fit good to some 1e-15 relative.
      expect(Math.abs(kernel(tausSeconds[k]!) - values[k]!)).toBeLessThan(1e-14);
    }
  });

  test('gives the samples that Python wrote', () => {
    const { input, durationSeconds, factor, samples } = shared.bandLimited;
    const dense = sampleSignal(signalOf(input), OUTPUT_RATE_HZ * factor, durationSeconds);
    expect(errorDb(bandLimit(dense, factor), samples)).toBeLessThan(-250);
  });

  test.each([1000, 10_000, 20_000])('passes %d Hz unchanged and undelayed', (frequencyHz) => {
    // A cosine has no corner at the first sample that could ring here; the kernel is inside the signal.
    const signal: Signal = (seconds) => Math.cos(2 * Math.PI * frequencyHz * seconds);
    const expected = sampleSignal(signal, OUTPUT_RATE_HZ, DURATION_SECONDS).slice(REACH, -REACH);
    // Designed for 122.9 dB of ripple; the error is largest at the edge of the passband.
    expect(errorDb(filtered(signal, 8), expected)).toBeLessThan(-120);
  });

  test.each([24_000, 30_000, 60_000])('attenuates %d Hz by 120 dB', (frequencyHz) => {
    expect(20 * Math.log10(peak(filtered(sine(1, frequencyHz), 8)))).toBeLessThan(-120);
  });

  test('gives the same at 384 kHz and 768 kHz', () => {
    const signal: Signal = (seconds) => Math.exp(-(((seconds - 0.003) / 4e-5) ** 2));
    expect(errorDb(filtered(signal, 8), filtered(signal, 16))).toBeLessThan(-130);
  });

  test('refuses a signal shorter than its kernel', () => {
    expect(() => bandLimit(new Float64Array(2 * REACH), 1)).toThrow(RangeError);
  });
});

describe('error in decibels', () => {
  test('is relative to the RMS of the reference', () => {
    const reference = Float64Array.of(1, -1, 1, -1);
    const actual = reference.map((value) => value * 1.001);
    expect(errorDb(actual, reference)).toBeCloseTo(-60, 9);
  });

  test('is relative to a millivolt where the reference is quieter', () => {
    expect(errorDb(Float64Array.of(1e-6, 1e-6), new Float64Array(2))).toBeCloseTo(-60, 9);
  });

  test('of a wave compares the band-limited output at the times of the vector', () => {
    const input = { signal: 'sine', frequencyHz: 1000, peakV: 0.5 } as const;
    const outputV = sampleSignal(sine(1, 1000), OUTPUT_RATE_HZ, DURATION_SECONDS).slice(REACH, -REACH);
    const wave = { name: 'doubled', input, durationSeconds: DURATION_SECONDS, outputV };
    const render = (inputV: Float64Array) => inputV.map((value) => 2 * value);
    // The low-pass passes 1 kHz to its ripple of -122.9 dB.
    expect(waveErrorDb(wave, 4, render)).toBeLessThan(-120);
  });
});

describe('diode clipper vectors', () => {
  test('solve the static equation of their source', () => {
    const { ohms, saturationCurrentA, emissionTimesThermalVoltageV, ...vectors } = loadDiodeClipperVectors();
    for (const { inputV, outputV } of vectors.static) {
      const diodeA = 2 * saturationCurrentA * Math.sinh(outputV / emissionTimesThermalVoltageV);
      // Rounding: the steep curve of the diodes makes at most 1e-11 V across the resistor of 1e-16 V.
      expect(Math.abs(inputV - outputV - ohms * diodeA)).toBeLessThan(1e-11);
    }
  });
});

describe('preset vectors', () => {
  const shared = loadSharedVectors();

  function expectComplete({ waves, response, operatingPointV }: PresetVectors) {
    for (const { outputV, durationSeconds } of waves) {
      expect(outputV).toHaveLength(Math.round(durationSeconds * OUTPUT_RATE_HZ) + 1 - 2 * REACH);
      expect(outputV.every(Number.isFinite)).toBe(true);
    }
    expect(response.frequenciesHz[60]).toBeCloseTo(20_000, 6);
    expect(response.magnitudeDb).toHaveLength(61);
    expect(response.phaseDeg).toHaveLength(61);
    expect(operatingPointV['out']).toBe(0);
  }

  test.each(REFERENCE_PRESETS)('%s has sixteen waves, a response and an operating point', (preset) => {
    const vectors = loadPresetVectors(preset);
    expect(vectors.waves.map(({ name }) => name)).toEqual(shared.signals.map(({ name }) => name));
    expect(vectors.waves).toHaveLength(16);
    expectComplete(vectors);
  });

  test('at 50 mV follow the small-signal gain where the circuit is nearly linear', () => {
    const { waves, response } = loadPresetVectors('soft-plain');
    const wave = waves.find(({ name }) => name === 'sine-82Hz-0.05V');
    // 82 Hz lies between two of the sixty-one frequencies, a twentieth of a decade apart.
    const index = response.frequenciesHz.findIndex((frequencyHz) => frequencyHz > 82);
    const peakDb = 20 * Math.log10(peak(wave?.outputV ?? new Float64Array(1)) / 0.05);
    expect(peakDb).toBeGreaterThan(response.magnitudeDb[index - 1]! - 0.5);
    // The switch-on transient of the coupling capacitors adds less than a decibel.
    expect(peakDb).toBeLessThan(response.magnitudeDb[index]! + 1);
  });
});
