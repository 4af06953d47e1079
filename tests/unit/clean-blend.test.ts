import { describe, expect, test } from 'vitest';
import { FrequencyResponse } from '../../engine/analysis/frequency-response.ts';
import type { Build } from '../../engine/builds/build.ts';
import { networkOfStages } from '../../engine/builds/network-of-build.ts';
import { GROUND } from '../../engine/devices/node.ts';
import { ofPart } from '../../engine/devices/origin.ts';
import { NOMINAL_TEMPERATURE_K, thermalVoltage } from '../../engine/devices/physics.ts';
import type { Network } from '../../engine/network/network.ts';
import { findDiode, findOpamp } from '../../engine/parts/catalogue.ts';
import { CircuitSimulator } from '../../engine/solver/circuit-simulator.ts';
import { compileCircuit } from '../../engine/solver/compile.ts';
import { presetBuild } from '../preset-build.ts';

/**
 * Stages of the clean-blend circuit against closed forms derived from its schematic by hand, each stage between
 * ideal sources: input, bias and rails. Values are those of the preset clean-plain.
 */

const TAU = 2 * Math.PI;
const POT_END_OHMS = 2;
const GAIN_BIAS_V = 4.5;

function buildWith(knobs: Readonly<Record<string, number>>): Build {
  const plain = presetBuild('clean-plain');
  return { ...plain, knobs: { ...plain.knobs, ...knobs } };
}

/** Some stages of a build between ideal sources, driven at one net and measured at another. */
function stages(build: Build, ids: readonly string[], input: string, output: string): Network {
  const network = networkOfStages(build, ids, NOMINAL_TEMPERATURE_K);
  // The gain stage's input is coupled by capacitors; the inputs of the other stages rest at 0 V.
  const volts = { bias: ids.includes('gain') ? GAIN_BIAS_V : 0, supply: 9, doubled: 9, inverted: -9 };
  const used = new Set(network.primitives.flatMap(({ nodes }) => [...nodes]));
  const sources = Object.entries(volts)
    .filter(([net]) => used.has(net))
    .map(([net, value]) => ({
      kind: 'voltageSource' as const,
      ...ofPart(net),
      nodes: [net, GROUND] as const,
      volts: value,
    }));
  return { ...network, input, output, rails: [], primitives: [...network.primitives, ...sources] };
}

interface Complex {
  readonly re: number;
  readonly im: number;
}
const real = (re: number): Complex => ({ re, im: 0 });
const sum = (...terms: readonly Complex[]): Complex => ({
  re: terms.reduce((total, { re }) => total + re, 0),
  im: terms.reduce((total, { im }) => total + im, 0),
});
const over = (a: Complex, b: Complex): Complex => {
  const square = b.re * b.re + b.im * b.im;
  return { re: (a.re * b.re + a.im * b.im) / square, im: (a.im * b.re - a.re * b.im) / square };
};
const parallel = (a: Complex, b: Complex): Complex => over(real(1), sum(over(real(1), a), over(real(1), b)));
const capacitor = (farads: number, hz: number): Complex => ({ re: 0, im: -1 / (TAU * hz * farads) });
const decibels = ({ re, im }: Complex): number => 20 * Math.log10(Math.hypot(re, im));

describe('treble shelf of clean-blend', () => {
  const R13_OHMS = 10e3;
  const R15_OHMS = 2200;
  const C9_FARADS = 33e-9;
  const TRACK_OHMS = 10e3;

  /**
   * With the inverting input at the bias, α the share of the track between the wiper and the output and R_p the
   * two halves in parallel:  H = −(1 + s·C9·(R15 + R_p + α·R13)) / (1 + s·C9·(R15 + R_p + (1 − α)·R14))
   */
  function shelf(treble: number): { zeroHz: number; poleHz: number; highDb: number } {
    const ccwOhms = POT_END_OHMS + treble * TRACK_OHMS;
    const cwOhms = POT_END_OHMS + (1 - treble) * TRACK_OHMS;
    const share = ccwOhms / (ccwOhms + cwOhms);
    const series = R15_OHMS + (ccwOhms * cwOhms) / (ccwOhms + cwOhms);
    const [zeroOhms, poleOhms] = [series + share * R13_OHMS, series + (1 - share) * R13_OHMS];
    return {
      zeroHz: 1 / (TAU * C9_FARADS * zeroOhms),
      poleHz: 1 / (TAU * C9_FARADS * poleOhms),
      highDb: 20 * Math.log10(zeroOhms / poleOhms),
    };
  }

  function gainDb(treble: number): (hz: number) => number {
    const network = stages(buildWith({ treble }), ['treble'], 'summed', 'shelved');
    const response = new FrequencyResponse(network);
    return (hz) => response.at(hz, 'shelved').decibels;
  }

  test('has its corners at 395 Hz and 2.2 kHz and a range of 14.9 dB up and down', () => {
    const { zeroHz, poleHz, highDb } = shelf(1);
    expect(zeroHz).toBeCloseTo(395, 0);
    expect(poleHz).toBeCloseTo(2188, 0);
    expect(highDb).toBeCloseTo(14.9, 1);
    expect(shelf(0).highDb).toBeCloseTo(-highDb, 9);
  });

  test.each([0, 0.25, 0.5, 0.75, 1])('follows its pole and zero with the knob at %d', (treble) => {
    const { zeroHz, poleHz } = shelf(treble);
    const own = gainDb(treble);
    for (const hz of [20, 100, 395, 930, 2188, 5000]) {
      const expected = 10 * Math.log10((1 + (hz / zeroHz) ** 2) / (1 + (hz / poleHz) ** 2));
      // The op-amp's bandwidth of 4 MHz leaves a loop gain above 120 at 5 kHz and 6.5 times noise gain, most of
      // it with a phase shift of 90 degrees: 0.02 dB at most.
      expect(Math.abs(own(hz) - expected), `${hz} Hz`).toBeLessThan(0.02);
    }
  });

  test.each([0, 1])('has half of its range in the middle between its corners, knob at %d', (treble) => {
    const { zeroHz, poleHz, highDb } = shelf(treble);
    // A loop gain of 1000 at the corner.
    expect(Math.abs(gainDb(treble)(Math.sqrt(zeroHz * poleHz)) - highDb / 2)).toBeLessThan(0.01);
  });

  test('leaves the low frequencies at unity gain at both ends', () => {
    // The ends of the shelf differ by (20 Hz / 395 Hz)², 0.011 dB.
    for (const treble of [0, 1]) expect(Math.abs(gainDb(treble)(20))).toBeLessThan(0.015);
  });
});

describe('hard clipper of clean-blend', () => {
  const BUFFERED = 'buffered';
  const PERIOD = 384;

  /** 1 + Z_f/Z_g with an op-amp of finite gain A: 1/(1/A + Z_g/(Z_g + Z_f)). */
  function amplifierDb(gain: number, hz: number): number {
    const { gainBandwidthHz, openLoopGain } = findOpamp('TL072').data;
    const leg = sum(real(2200), capacitor(220e-9, hz));
    const feedback = parallel(real(15e3 + POT_END_OHMS + gain * 100e3), capacitor(2.7e-9, hz));
    const oneOverA = { re: 1 / openLoopGain, im: hz / gainBandwidthHz };
    return decibels(over(real(1), sum(oneOverA, over(leg, sum(leg, feedback)))));
  }

  test.each([0, 0.5, 1])('has the gain of its resistors and capacitors with the gain knob at %d', (gain) => {
    const network = stages(buildWith({ gain }), ['gain'], BUFFERED, 'amplified');
    const response = new FrequencyResponse(network);
    for (const hz of [82, 330, 1000, 4000, 15_000]) {
      const own = response.at(hz, 'amplified').decibels - response.at(hz, 'gain input').decibels;
      // Both are exact except for the slope of the slew curve at a fraction of a millivolt.
      expect(Math.abs(own - amplifierDb(gain, hz)), `${hz} Hz`).toBeLessThan(1e-4);
    }
  });

  test('amplifies 1 kHz by 17 to 27 dB', () => {
    expect(amplifierDb(0, 1000)).toBeCloseTo(17.2, 1);
    expect(amplifierDb(1, 1000)).toBeCloseTo(27.3, 1);
  });

  test.each(['1N34A', '1N4148'])('clips at n·V_T·ln(1 + i/I_S) + R_S·i of the %s', (type) => {
    const plain = buildWith({ gain: 0.7 });
    const build = { ...plain, parts: { ...plain.parts, D1: { type }, D2: { type } } };
    const clipped = steadySine(stages(build, ['gain'], BUFFERED, 'clipped'));
    const beforeR6 = steadySine(stages(build, ['gain'], BUFFERED, 'C6.2'));
    const { saturationCurrentA, emissionCoefficient, seriesOhms } = findDiode(type).data;
    const nVt = emissionCoefficient * thermalVoltage(300.15);
    const missV = (k: number, sign: number): number => {
      const level = sign * (clipped[k]! - GAIN_BIAS_V);
      const reverseA = saturationCurrentA * -Math.expm1(-level / nVt);
      const diodeA = (sign * (beforeR6[k]! - clipped[k]!)) / 1e3 - level / 47e3 - reverseA;
      // The op-amp swings 3 V and 0.15 V of soft limit; C6 with the opposite charge can double that across R6.
      expect(diodeA).toBeGreaterThan(2e-3);
      expect(diodeA).toBeLessThan(6.3e-3);
      return level - nVt * Math.log1p(diodeA / saturationCurrentA) - seriesOhms * diodeA;
    };
    for (const sign of [1, -1]) {
      const at = clipped
        .subarray(0, PERIOD)
        .reduce((best, v, k) => (sign * v > sign * clipped[best]! ? k : best), 0);
      // Nothing rings after the edge. The output of the block is decimated, which rounds the edge by 1e-4.
      expect(Math.abs(missV(at, sign))).toBeLessThan(1e-4);
    }
  });

  /** Last two of ten periods of 1 kHz at 1 V. */
  function steadySine(network: Network): Float64Array {
    const sampleRateHz = 1000 * PERIOD;
    const inputV = Float64Array.from({ length: 10 * PERIOD }, (_, k) => Math.sin((TAU * k) / PERIOD));
    const outputV = new Float64Array(inputV.length);
    new CircuitSimulator(compileCircuit(network, { sampleRateHz })).process(inputV, outputV, inputV.length);
    return outputV.slice(-2 * PERIOD);
  }
});

describe('output of clean-blend', () => {
  const HZ = 1000;
  const TRACK_OHMS = 10e3;
  const R16_OHMS = 560;
  const R17_OHMS = 100e3;

  /** Sum of both clean paths: R12 ∥ C8 over VR1B + R9, and over R10 and R11 with C7 between them. */
  function cleanGain(blend: number): number {
    const feedback = parallel(real(47e3), capacitor(220e-12, HZ));
    const direct = over(feedback, real(POT_END_OHMS + blend * 100e3 + 27e3));
    const lowPassed = over(feedback, { re: 22e3 + 47e3, im: TAU * HZ * 100e-9 * 22e3 * 47e3 });
    return 10 ** (decibels(sum(direct, lowPassed)) / 20);
  }

  /**
   * Rotation at which the output divides by the gain of the clean paths. With T all of R16 and VR3, L the part of
   * VR3 below the wiper and R17 across it, the share k = 1/gain solves  k·L² + (R17 − k·T)·L − k·T·R17 = 0.
   */
  function unityRotation(blend: number): number {
    const k = 1 / cleanGain(blend);
    const total = R16_OHMS + 2 * POT_END_OHMS + TRACK_OHMS;
    const b = R17_OHMS - k * total;
    const lowerOhms = (-b + Math.sqrt(b * b + 4 * k * k * total * R17_OHMS)) / (2 * k);
    const share = (lowerOhms - POT_END_OHMS) / TRACK_OHMS;
    // Audio taper: linear from 0 to 15 % in the first half of the rotation, to 100 % in the second.
    return share < 0.15 ? share / 0.3 : 0.5 + (share - 0.15) / 1.7;
  }

  test.each([0, 0.05, 0.1])(
    'passes the clean paths at unity gain at the calculated position, blend at %d',
    (blend) => {
      const output = unityRotation(blend);
      expect(output).toBeGreaterThan(0.5);
      expect(output).toBeLessThan(1);
      // The clipped path ends at R8, whose other end is not driven in these stages.
      const build = buildWith({ gain: blend, treble: 0.5, output });
      const network = stages(build, ['sum', 'treble', 'output'], 'buffered', 'out');
      // C10 takes 0.001 dB at 1 kHz, and the op-amps' bandwidth takes the same.
      expect(Math.abs(new FrequencyResponse(network).at(HZ, 'out').decibels)).toBeLessThan(0.01);
    },
  );

  test('has its unity position at 78 % of the rotation with the whole clean path', () => {
    expect(unityRotation(0)).toBeCloseTo(0.78, 2);
  });
});
