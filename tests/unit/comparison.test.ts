import { describe, expect, it } from 'vitest';
import { bandLevels, THIRD_OCTAVES } from '../../engine/analysis/band-levels.ts';
import { compareSignals } from '../../engine/analysis/comparison.ts';
import { harmonicsOf } from '../../engine/analysis/harmonics.ts';
import { audibleDifference, nullDepth } from '../../engine/analysis/null-depth.ts';
import { orderRows } from '../../engine/analysis/order-list.ts';
import { fourierTransform, inverseFourierTransform } from '../../engine/audio/fourier.ts';
import { GROUND } from '../../engine/devices/node.ts';
import { ofPart } from '../../engine/devices/origin.ts';
import type { Network } from '../../engine/network/network.ts';
import { presetBuild } from '../preset-build.ts';

const RATE_HZ = 48_000;

/** A sum of sines below 6 kHz with a smooth start and end, at any instant. */
function phrase(seconds: number): number {
  const window = Math.sin(Math.PI * Math.min(1, Math.max(0, seconds / 0.2))) ** 2;
  return (
    window *
    [110, 331, 987, 2450, 5800].reduce((sum, hz) => sum + Math.sin(2 * Math.PI * hz * seconds) / hz, 0)
  );
}

const sampled = (delaySamples: number, gain: number) =>
  Float64Array.from({ length: 9600 }, (_, index) => gain * phrase((index - delaySamples) / RATE_HZ));

describe('the Fourier transform', () => {
  it('equals the defining sum', () => {
    const n = 16;
    const x = Array.from({ length: n }, (_, index) => Math.sin(index * index));
    const re = Float64Array.from(x);
    const im = new Float64Array(n);
    fourierTransform(re, im);
    for (let k = 0; k < n; k++) {
      const real = x.reduce((sum, value, index) => sum + value * Math.cos((2 * Math.PI * k * index) / n), 0);
      const imaginary = x.reduce(
        (sum, value, index) => sum - value * Math.sin((2 * Math.PI * k * index) / n),
        0,
      );
      expect(re[k]).toBeCloseTo(real, 12);
      expect(im[k]).toBeCloseTo(imaginary, 12);
    }
    inverseFourierTransform(re, im);
    for (const [index, value] of x.entries()) expect(re[index]).toBeCloseTo(value, 12);
  });

  it('refuses a length that is not a power of two', () => {
    expect(() => fourierTransform(new Float64Array(12), new Float64Array(12))).toThrow(RangeError);
  });
});

describe('the null test', () => {
  it.each([0, 0.3, -7.75, 51.5])('finds a delay of %d samples and a gain of −6.02 dB', (delay) => {
    const { delaySamples, gainDb, depthDb } = nullDepth(sampled(delay, 1), sampled(0, 2));
    expect(delaySamples).toBeCloseTo(delay, 4);
    expect(gainDb).toBeCloseTo(-20 * Math.log10(2), 3);
    // The signal is band-limited except for the start of its window, which is below −100 dB.
    expect(depthDb).toBeLessThan(-90);
  });

  it('measures an added signal that is orthogonal to the first', () => {
    // A sine in the gap between the phrase's partials, 1 % of its energy: −20 dB.
    const clean = sampled(0, 1);
    const level = Math.sqrt(clean.reduce((sum, value) => sum + value * value, 0) / clean.length);
    const added = clean.map(
      (value, index) => value + 0.1 * Math.SQRT2 * level * Math.sin((2 * Math.PI * 1500 * index) / RATE_HZ),
    );
    expect(nullDepth(added, clean).depthDb).toBeCloseTo(-20 - 10 * Math.log10(1.01), 1);
  });

  it('inverts a signal with the opposite polarity', () => {
    const { isInverted, gainDb, delaySamples, depthDb } = nullDepth(sampled(3.25, 1), sampled(0, -0.5));
    expect(isInverted).toBe(true);
    expect(gainDb).toBeCloseTo(20 * Math.log10(2), 3);
    expect(delaySamples).toBeCloseTo(3.25, 4);
    expect(depthDb).toBeLessThan(-90);
    expect(nullDepth(sampled(0, 1), sampled(0, 1)).isInverted).toBe(false);
  });

  it('cannot null a coupling corner moved from 5 to 15 Hz because of the phase alone, which is not audible', () => {
    // First-order high-passes f/(f - j·fc) on two tones of one level, nothing added, nothing clipped.
    const tones = [82, 440];
    const phase = (hz: number, cornerHz: number) => Math.atan(cornerHz / hz);
    const size = (hz: number, cornerHz: number) => 1 / Math.hypot(1, cornerHz / hz);
    const sum = (cornerHz: number) =>
      Float64Array.from({ length: 2 * RATE_HZ }, (_, n) =>
        tones.reduce(
          (total, hz) =>
            total + size(hz, cornerHz) * Math.sin((2 * Math.PI * hz * n) / RATE_HZ + phase(hz, cornerHz)),
          0,
        ),
      );
    // The deepest null over gain and delay, in closed form for each delay, searched on a grid of 1 us.
    const pairs = tones.map((hz) => ({
      a: size(hz, 5),
      b: size(hz, 15),
      turn: phase(hz, 15) - phase(hz, 5),
      hz,
    }));
    const power = (key: 'a' | 'b') => pairs.reduce((total, pair) => total + pair[key] ** 2, 0);
    const depths = Array.from({ length: 600 }, (_, step) => {
      const correlation = pairs.reduce(
        (total, { a, b, turn, hz }) =>
          total + a * b * Math.cos(turn - 2 * Math.PI * hz * (step - 300) * 1e-6),
        0,
      );
      return 10 * Math.log10(1 - correlation ** 2 / (power('a') * power('b')));
    });
    const deepest = Math.min(...depths);
    expect(deepest).toBeGreaterThan(-28);
    // The tones' ends do not overlap for a few samples of delay: some hundredths of a decibel.
    expect(Math.abs(nullDepth(sum(5), sum(15)).depthDb - deepest)).toBeLessThan(0.1);
  });

  it('gives the difference to be heard alone, and states the gain that was added', () => {
    const first = sampled(0, 1);
    const remainder = sampled(0, 0.01);
    const { signal, gainDb } = audibleDifference(first, remainder);
    expect(gainDb).toBeCloseTo(40, 9);
    expect(signal[5000]).toBeCloseTo(first[5000]!, 12);
    // Never more than 60 dB: below that there is only rounding.
    expect(audibleDifference(first, sampled(0, 1e-6)).gainDb).toBe(60);
    expect(audibleDifference(first, sampled(0, 2)).gainDb).toBe(0);
  });

  it('refuses silence and signals of different lengths', () => {
    expect(() => nullDepth(new Float64Array(8), new Float64Array(8))).toThrow(/silent/);
    expect(() => nullDepth(new Float64Array(8), new Float64Array(9))).toThrow(RangeError);
  });
});

describe('the comparison of two signals', () => {
  const tone = (hz: number, peakV: number) =>
    Float64Array.from(
      { length: RATE_HZ },
      (_, index) => peakV * Math.sin((2 * Math.PI * hz * index) / RATE_HZ),
    );

  it('states levels and bands in dB of 1 V', () => {
    const { loudnessDifferenceDb, rmsDifferenceDb, bands } = compareSignals(
      tone(1000, 1),
      tone(1000, 0.5),
      RATE_HZ,
    );
    expect(loudnessDifferenceDb).toBeCloseTo(6.02, 2);
    expect(rmsDifferenceDb).toBeCloseTo(6.02, 2);
    const octave = bands.find(({ hz }) => hz === 1000)!;
    expect(octave.aDb).toBeCloseTo(-3.01, 1);
    expect(octave.aDb - octave.bDb).toBeCloseTo(6.02, 2);
    expect(octave.nullDb).toBeLessThan(-100); // equal except for the level
    // Leakage of the unwindowed tone into octaves two away.
    expect(bands.find(({ hz }) => hz === 4000)!.aDb).toBeLessThan(-35);
  });
});

describe('levels by band', () => {
  it('are those of IEC 61260-1: third-octave bands from the tenth root of ten', () => {
    const edges = THIRD_OCTAVES.find(({ hz }) => hz === 3150)!;
    // 1000·10^(5/10) = 3162.28 Hz, edges at this times 10^(±1/20).
    expect(edges.fromHz).toBeCloseTo(2818.38, 2);
    expect(edges.toHz).toBeCloseTo(3548.13, 2);
    for (const [index, { fromHz }] of THIRD_OCTAVES.entries()) {
      if (index > 0) expect(fromHz).toBeCloseTo(THIRD_OCTAVES[index - 1]!.toHz, 6);
    }
  });

  it('put a tone into its own band and add up to its power', () => {
    const tone = Float64Array.from({ length: RATE_HZ }, (_, n) =>
      Math.sin((2 * Math.PI * 630 * n) / RATE_HZ),
    );
    const levels = bandLevels(tone, RATE_HZ, THIRD_OCTAVES);
    const loudest = THIRD_OCTAVES[levels.indexOf(Math.max(...levels))]!;
    expect(loudest.hz).toBe(630);
    const power = levels.reduce((sum, db) => sum + 10 ** (db / 10), 0);
    expect(10 * Math.log10(power)).toBeCloseTo(-3.01, 1); // leakage outside 50 Hz to 16 kHz is not counted
  });
});

describe('harmonics', () => {
  it('of the diode clipper are the same as from SciPy', () => {
    // Yeh, Abel & Smith, DAFx-07: R 2.2 k, C 10 nF, Is 2.52 nA, n·Vt 45.3 mV; SciPy values for 1 V at 1 kHz.
    const temperatureK = 300.15;
    const data = {
      saturationCurrentA: 2.52e-9,
      emissionCoefficient: 45.3e-3 / 0.0258649258,
      seriesOhms: 0,
      zeroBiasCapacitanceF: 0,
    };
    const network: Network = {
      input: 'in',
      output: 'out',
      rails: [],
      temperatureK,
      primitives: [
        { kind: 'resistor', ...ofPart('R1'), nodes: ['in', 'out'], ohms: 2200 },
        { kind: 'capacitor', ...ofPart('C1'), nodes: ['out', GROUND], farads: 10e-9 },
        { kind: 'diode', ...ofPart('D1'), nodes: ['out', GROUND], count: 1, data },
        { kind: 'diode', ...ofPart('D2'), nodes: [GROUND, 'out'], count: 1, data },
      ],
    };
    const { fundamentalV, relativeDb, distortionOfFundamental } = harmonicsOf(network, {
      hz: 1000,
      peakV: 1,
    });
    // Clipped edges at 384 kHz leave about −80 dB of the fundamental: 0.01 dB on H3, 0.2 dB on H7.
    expect(fundamentalV).toBeCloseTo(0.60013, 3);
    expect(relativeDb[1]).toBeCloseTo(-15.088, 1);
    expect(relativeDb[3]).toBeCloseTo(-28.189, 1);
    expect(Math.abs(relativeDb[5]! + 42.406)).toBeLessThan(0.3);
    expect(distortionOfFundamental).toBeCloseTo(0.1807, 3);
    // The curve of an antiparallel pair is odd: there are no even harmonics.
    expect(relativeDb[0]).toBeLessThan(-100);
  });
});

describe('the parts list', () => {
  it('counts equal parts together, and each diode of a string', () => {
    const plain = presetBuild('soft-plain');
    const rows = orderRows({ ...plain, parts: { ...plain.parts, D2: { type: '1N4148', count: 2 } } });
    expect(rows.find(({ value }) => value === '1N4148')).toMatchObject({
      kind: 'diode',
      quantity: 4,
      refs: ['D1', 'D2', 'D2', 'D3'],
      package: 'DO-35 (glass), the band is the cathode',
    });
  });

  it('leaves out parts that are not fitted or bridged, and lists a piggybacked part separately', () => {
    const plain = presetBuild('soft-plain');
    const parts = {
      ...plain.parts,
      C4: { value: '51p', fit: 'open' as const },
      R4: { value: '4k7', piggyback: '47k' },
    };
    const refs = orderRows({ ...plain, parts }).flatMap((row) => row.refs);
    expect(refs).not.toContain('C4');
    expect(refs).toContain('R4 piggyback');
  });

  it('lists the parts of a wiring to order', () => {
    const plain = presetBuild('soft-plain');
    const rows = orderRows({
      ...plain,
      parts: { ...plain.parts, D1: { type: '2N7000 with blocking diode' } },
    });
    expect(rows.find(({ value }) => value === '2N7000')).toMatchObject({
      kind: 'N-channel MOSFET',
      quantity: 1,
      refs: ['D1'],
    });
    expect(rows.find(({ value }) => value === '1N4148')).toMatchObject({
      quantity: 3,
      refs: ['D1', 'D2', 'D3'],
    });
  });

  it('lists a dual-gang potentiometer once, and two potentiometers where gain and blend are separate', () => {
    const dual = orderRows(presetBuild('clean-plain'));
    expect(dual.filter(({ kind }) => kind === 'dual-gang potentiometer')).toHaveLength(1);
    expect(dual.flatMap(({ refs }) => refs)).not.toContain('VR1B');
    const apart = orderRows(presetBuild('clean-separate'));
    expect(apart.find(({ value }) => value === '100k linear')).toMatchObject({
      kind: 'potentiometer',
      quantity: 2,
    });
  });
});
