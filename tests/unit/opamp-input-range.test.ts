import { describe, expect, it } from 'vitest';
import { FrequencyResponse } from '../../engine/analysis/frequency-response.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { presetNames } from '../../engine/cli/preset-files.ts';
import { GROUND } from '../../engine/devices/node.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import type { Network, Primitive } from '../../engine/network/network.ts';
import { findOpamp } from '../../engine/parts/catalogue.ts';
import { OPAMPS } from '../../engine/parts/opamps.ts';
import { operatingPoint } from '../../engine/solver/operating-point.ts';
import { presetBuild } from '../preset-build.ts';
import {
  capacitor,
  differenceOf,
  network,
  opamp,
  peakOf,
  resistor,
  run,
  sine,
  source,
} from './small-networks.ts';

const RATE_HZ = 384_000;
const RANGED = OPAMPS.filter(({ data }) => data.commonMode).map(({ type }) => type);
/** Half of the supply, the usual bias of a pedal's signal. */
const BIAS_V = 4.5;

/** A follower on one 9 V supply, with an input around half of the supply. */
const follower = (type: string): Network =>
  network([
    source('vcc', 2 * BIAS_V),
    opamp('U1', ['in', 'out', 'out', 'vcc', GROUND], findOpamp(type).data),
    resistor('RL', 'out', GROUND, 100e3),
  ]);

/** Output of this follower for an input relative to ground. */
const outputOf = (type: string, input: Float64Array) => run(follower(type), RATE_HZ, input);

/** The output a long time after the input was set, V. */
const settledV = (type: string, inV: number): number =>
  outputOf(type, new Float64Array(384).fill(inV)).output.at(-1)!;

describe('the input range of an op-amp on 9 V', () => {
  it.each(['TL072', 'TL082', 'LF353', 'TL062'])(
    'of %s ends 0.9 V above the negative supply, and the output reverses below it',
    (type) => {
      // LF353 sheet, from memory: below the range the output is forced high, without latching. The exact voltage is an
      // estimate.
      expect(settledV(type, 1.7)).toBeCloseTo(1.7, 2);
      const highV = 2 * BIAS_V - findOpamp(type).data.headroomHighV;
      expect(Math.abs(settledV(type, 0.7) - highV)).toBeLessThan(0.2);
      expect(Math.abs(settledV(type, 0.3) - highV)).toBeLessThan(0.2);
    },
  );

  it('does not latch: the output follows as soon as the input is back', () => {
    const input = sine(3840, RATE_HZ, 200, 3.8).map((volts) => BIAS_V + volts);
    const { output, simulator } = outputOf('TL072', input);
    let isBack = true;
    // The first samples come from the operating point, with 0 V at the input. Slewing over the whole supply takes 0.5 µs.
    for (let n = 8; n < input.length; n++) {
      const wasFar = [0, 1, 2, 3].every((ago) => input[n - ago]! > 1.8);
      if (wasFar && input[n]! < 7.2 && Math.abs(output[n]! - input[n]!) > 0.02) isBack = false;
    }
    expect(isBack).toBe(true);
    expect(simulator.failures).toBe(0);
  });

  it.each([
    // ±13 V of ±15 V (TI SNOSC25, from memory): 2 V from either supply, although the output could reach 1 V.
    ['LM741', 2, 7],
    ['MC1458', 2, 7],
    // 2 V inside the supplies, and no reversal (OPA2134 sheet, from memory).
    ['OPA2134', 2, 7],
    // Below the supply by 0.8 V, and below ground (TLC2262 and TLC2272 sheets, from memory).
    ['TLC2262', 0.02, 8.2],
  ])('of %s stops a follower at %d and %d V without turning it round', (type, lowV, highV) => {
    // A knee of a tenth of a volt; half of it is passed.
    expect(Math.abs(settledV(type, 0) - lowV)).toBeLessThan(0.11);
    expect(Math.abs(settledV(type, 9) - highV)).toBeLessThan(0.11);
    expect(settledV(type, 5)).toBeCloseTo(5, 2);
  });

  it('gives the same output for a strong sine as the equation in continuous time', () => {
    const { gainBandwidthHz, slewVPerS, openLoopGain, headroomHighV, headroomLowV } = findOpamp('TL072').data;
    const w = 2 * Math.PI * gainBandwidthHz;
    const ramp = (e: number) => (e <= 0 ? 0 : e <= 0.1 ? e ** 2 / 0.2 : e - 0.05);
    const [high, low] = [9 - headroomHighV, headroomLowV];
    const inputAt = (t: number) => BIAS_V + 3.8 * Math.sin(2 * Math.PI * 1000 * t);
    const rate = (t: number, x: number) => {
      const plus = inputAt(t);
      const u = (w * (plus + 100 * ramp(0.9 - plus) - ramp(plus - 9) - x)) / slewVPerS;
      return (
        (slewVPerS * u) / Math.hypot(1, u) -
        (w / openLoopGain) * (x - (high + low) / 2) -
        10 * slewVPerS * (ramp(x - high) - ramp(low - x))
      );
    };
    // Runge-Kutta of fourth order at 10 ns, a quarter of 1/w.
    const perSample = 64;
    const sampleHz = 1_536_000;
    const h = 1 / (sampleHz * perSample);
    const frames = sampleHz / 1000;
    const expected = new Float64Array(frames);
    let x = BIAS_V;
    for (let n = 0; n < frames; n++) {
      for (let k = n === 0 ? perSample : 0; k < perSample; k++) {
        const t = ((n - 1) * perSample + k) * h;
        const k1 = rate(t, x);
        const k2 = rate(t + h / 2, x + (h / 2) * k1);
        const k3 = rate(t + h / 2, x + (h / 2) * k2);
        const k4 = rate(t + h, x + h * k3);
        x += (h / 6) * (k1 + 2 * k2 + 2 * k3 + k4);
      }
      expected[n] = x;
    }
    const input = Float64Array.from({ length: frames }, (_, n) => inputAt(n / sampleHz));
    const { output } = run(follower('TL072'), sampleHz, input);
    // The first 10 µs come from the operating point at 0 V in. Edges of 6 V in 0.4 µs fall between samples: 1 % RMS.
    let [error, power] = [0, 0];
    for (let n = 100; n < frames; n++) {
      error += (output[n]! - expected[n]!) ** 2;
      power += (expected[n]! - BIAS_V) ** 2;
    }
    expect(10 * Math.log10(error / power)).toBeLessThan(-40);
    expect(peakOf(expected)).toBeGreaterThan(7.4);
  });
});

/**
 * c(v+) of network.ts on 9 V and its derivative, by hand. With e the distance outside the range: if e is less than the
 * knee of 0.1 V, e²/0.2 is subtracted, or a hundredfold of it is added if the type reverses; if e is more, it is e −
 * 0.05.
 */
describe('a follower that rests with its input outside the range', () => {
  const resting = (type: string, plusV: number, coupledTo: 'plus' | 'vcc' | 'vee'): Network => {
    const data = { ...findOpamp(type).data, inputBiasA: 0, quiescentA: 0 };
    return network([
      source('supply', 2 * BIAS_V),
      source('bias', plusV),
      resistor('R1', 'supply', 'vcc', 100),
      resistor('R2', 'bias', 'plus', 100),
      resistor('R3', 'vee', GROUND, 100),
      capacitor('C1', 'in', coupledTo, 10),
      opamp('U1', ['plus', 'out', 'out', 'vcc', 'vee'], data),
    ]);
  };

  it.each([
    ['LM741', 5, 5],
    ['LM741', 1.97, 1.97 + 0.03 ** 2 / 0.2],
    ['LM741', 0, 2 - 0.05],
    ['LM741', 7.03, 7.03 - 0.03 ** 2 / 0.2],
    ['LM741', 9, 7 + 0.05],
    ['TL072', 0.86, 0.86 + (100 * 0.04 ** 2) / 0.2],
  ])('follows what the range leaves of it: %s at %d V, %d V', (type, plusV, leftV) => {
    // A0·(c − x) = x − mid; the curve of the input stage takes 1e-8 of a difference of 20 µV.
    const { openLoopGain, headroomHighV, headroomLowV } = findOpamp(type).data;
    const middleV = (2 * BIAS_V - headroomHighV + headroomLowV) / 2;
    const expected = (openLoopGain * leftV + middleV) / (openLoopGain + 1);
    expect(operatingPoint(resting(type, plusV, 'plus')).volts.get('out')).toBeCloseTo(expected, 9);
  });

  it.each([
    ['LM741', 5, 'plus', 1],
    ['LM741', 1.97, 'plus', 1 - 0.3],
    ['LM741', 7.03, 'plus', 1 - 0.3],
    ['TL072', 0.86, 'plus', 1 - 100 * 0.4],
    ['LM741', 7.03, 'vcc', 0.3],
    ['LM741', 9, 'vcc', 1],
    ['LM741', 1.97, 'vee', 0.3],
    ['LM741', 0, 'vee', 1],
  ] as const)('passes a small signal as steeply: %s at %d V, into %s, %d', (type, plusV, into, gain) => {
    const { decibels, phaseDegrees } = new FrequencyResponse(resting(type, plusV, into)).at(100, 'out');
    // The op-amp's own corner is at 1 MHz or above, the capacitor's below 0.2 mHz: phases of 0.01 degrees. 1/A0 is 5e-6.
    expect(10 ** (decibels / 20) / Math.abs(gain)).toBeCloseTo(1, 4);
    expect(Math.abs(phaseDegrees)).toBeCloseTo(gain > 0 ? 0 : 180, 0);
  });
});

describe('a build with an op-amp that has a modelled input range', () => {
  const withTypes = (name: string, type: string): Network => {
    const build = presetBuild(name);
    const both = Object.fromEntries(
      Object.keys(build.parts)
        .filter((ref) => /^U[12]$/.test(ref))
        .map((ref) => [ref, { type }]),
    );
    // The converter of clean-blend is U3.
    return networkOf({ ...build, parts: { ...build.parts, ...both } }, NOMINAL_TEMPERATURE_K);
  };
  const unlimited = (circuit: Network): Network => ({
    ...circuit,
    primitives: circuit.primitives.map((primitive): Primitive => {
      if (primitive.kind !== 'opamp') return primitive;
      const { commonMode: _, ...data } = primitive.data;
      return { ...primitive, data };
    }),
  });

  it.each(presetNames())('has the same operating point as without the range: %s', (name) => {
    for (const type of RANGED) {
      const circuit = withTypes(name, type);
      const own = operatingPoint(circuit).volts;
      // Inside its range nothing is added, so the two solutions differ only by where the iteration stops.
      for (const [net, volts] of operatingPoint(unlimited(circuit)).volts) {
        expect(Math.abs(own.get(net)! - volts), `${type} ${net}`).toBeLessThan(1e-8);
      }
    }
  });

  it('plays as without the range if no input leaves it, and otherwise if one does', () => {
    const circuit = networkOf(presetBuild('clean-plain'), NOMINAL_TEMPERATURE_K);
    const gap = (peakV: number) => {
      const input = sine(3840, RATE_HZ, 200, peakV);
      return differenceOf(
        run(circuit, RATE_HZ, input).output,
        run(unlimited(circuit), RATE_HZ, input).output,
      );
    };
    // 4.47 V of bias less 1 V is above 0.9 V; less 4 V it is not. Only rounding may differ.
    expect(gap(1)).toBeLessThan(1e-9);
    expect(gap(4)).toBeGreaterThan(0.01);
  });

  it.each(RANGED)(
    'plays in emitted code as in the interpreter far outside its range, and recovers: %s',
    (type) => {
      for (const name of ['soft-plain', 'soft-lifted', 'clean-plain']) {
        const circuit = withTypes(name, type);
        const input = sine(7680, RATE_HZ, 440, 5);
        const emitted = run(circuit, RATE_HZ, input);
        const interpreted = run(circuit, RATE_HZ, input, { interpreted: true });
        expect(emitted.simulator.failures, name).toBe(0);
        expect(emitted.simulator.resets, name).toBe(0);
        // As for all devices; a hundredfold where the output reverses, because the input has that gain there.
        expect(emitted.output, name).toEqual(interpreted.output);
      }
    },
  );
});
