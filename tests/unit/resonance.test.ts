import { describe, expect, it } from 'vitest';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { presetNames } from '../../engine/cli/preset-files.ts';
import { GROUND } from '../../engine/devices/node.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import type { Network, Primitive } from '../../engine/network/network.ts';
import { STEP_FORMULAS } from '../../engine/solver/backward-difference.ts';
import { compileCircuit } from '../../engine/solver/compile.ts';
import { resonantOpamps } from '../../engine/solver/resonance.ts';
import { presetBuild } from '../preset-build.ts';
import {
  AMPLIFIER,
  capacitor,
  diode,
  network,
  opamp,
  peakOf,
  resistor,
  run,
  SILICON,
  sine,
  source,
} from './small-networks.ts';

const RATE_HZ = 384_000;

/** An amplifier with clipping diodes in its feedback and these parts at its inverting input. */
const clipper = (...load: Primitive[]): Network =>
  network([
    source('vcc', 9),
    source('vee', -9),
    opamp('U1', ['in', 'minus', 'out', 'vcc', 'vee'], AMPLIFIER),
    resistor('R1', 'minus', 'out', 100e3),
    diode('D1', ['minus', 'out'], SILICON),
    diode('D2', ['out', 'minus'], SILICON),
    ...load,
  ]);

const formulasOf = (circuit: Network) =>
  compileCircuit(circuit, { sampleRateHz: RATE_HZ, interpreted: true }).blocks.map(({ formula }) => formula);

/** Largest modulus of z with r·(1 − Σ w_k·z^(−k)) = λT: the factor by which one step changes a decay by e^λT. */
function growth(name: keyof typeof STEP_FORMULAS, re: number, im: number): number {
  const { rate, weights } = STEP_FORMULAS[name];
  // The recursion itself, from a start that contains all of its roots: q_n = (r·Σ w_k·q_(n−k))/(r − λT).
  const square = (rate - re) ** 2 + im ** 2;
  let past: (readonly [number, number])[] = [
    [1, 0],
    [-0.3, 0.7],
    [0.2, 0.5],
  ];
  let size = 0;
  const steps = 1000;
  for (let n = 0; n < steps; n++) {
    const sum = [0, 1].map((part) => rate * past.reduce((s, q, k) => s + weights[k]! * q[part]!, 0));
    const next = [
      (sum[0]! * (rate - re) - sum[1]! * im) / square,
      (sum[1]! * (rate - re) + sum[0]! * im) / square,
    ] as const;
    past = [next, past[0]!, past[1]!];
    const scale = Math.hypot(...past.flat());
    past = past.map(([a, b]) => [a / scale, b / scale] as const);
    if (n >= steps / 2) size += Math.log(scale);
  }
  return Math.exp(size / (steps / 2));
}

describe('the damped formula', () => {
  it('lets no decay grow, unlike the formula of third order', () => {
    const radians = Array.from({ length: 40 }, (_, k) => 10 ** (-1.5 + k / 13));
    // With Q of 100, and without any loss.
    for (const q of [100, Number.POSITIVE_INFINITY])
      for (const im of radians)
        expect(growth('damped', -im / (2 * q), im), `${im} rad a step`).toBeLessThan(1 + 1e-9);
    expect(Math.max(...radians.map((im) => growth('third', -im / 200, im)))).toBeGreaterThan(1.01);
  });

  it('is of second order', () => {
    const { rate, weights } = STEP_FORMULAS.damped;
    const derivative = (f: (t: number) => number) =>
      rate * (f(0) - weights.reduce((sum, weight, k) => sum + weight * f(-1 - k), 0));
    expect(derivative(() => 1)).toBeCloseTo(0, 12);
    expect(derivative((t) => t)).toBeCloseTo(1, 12);
    expect(derivative((t) => t * t)).toBeCloseTo(0, 12);
    // For a formula of second order this is −2: its error is a third of T² times the third derivative.
    expect(Math.abs(derivative((t) => t ** 3))).toBeLessThan(1.1);
  });
});

describe('an op-amp with a capacitor at its inverting input', () => {
  it('uses the damped formula where no resistor separates the capacitor from it', () => {
    expect(formulasOf(clipper(capacitor('C1', 'minus', GROUND, 47e-9)))).toEqual(['damped']);
    const behind = (ohms: number) =>
      clipper(resistor('R2', 'minus', 'x', ohms), capacitor('C1', 'x', GROUND, 47e-9));
    expect(formulasOf(behind(1))).toEqual(['damped']);
    expect(formulasOf(behind(4.7e3))).toEqual(['third']);
  });

  it('is decided at once for a string of back-to-back pairs, which has a path for each choice of diodes', () => {
    // 24 links of two diodes: 2^24 paths, and one string.
    const nodes = ['minus', ...Array.from({ length: 23 }, (_, link) => `n${link}`), 'out'];
    const pairs = nodes
      .slice(1)
      .flatMap((far, link) => [
        diode(`D${2 * link + 3}`, [nodes[link]!, far], SILICON),
        diode(`D${2 * link + 4}`, [far, nodes[link]!], SILICON),
      ]);
    expect(formulasOf(clipper(capacitor('C1', 'minus', GROUND, 47e-9), ...pairs))).toEqual(['damped']);
  });

  it('uses it as well where diodes in series clip', () => {
    const circuit = network([
      source('vcc', 9),
      source('vee', -9),
      opamp('U1', ['in', 'minus', 'out', 'vcc', 'vee'], AMPLIFIER),
      resistor('R1', 'minus', 'out', 100e3),
      diode('D1', ['minus', 'between'], SILICON),
      diode('D2', ['between', 'out'], SILICON),
      capacitor('C1', 'minus', GROUND, 47e-9),
    ]);
    expect(formulasOf(circuit)).toEqual(['damped']);
  });

  /**
   * Largest Q of s²·(C_l + C_f) + s·(G_l + G + w·C_f) + w·G = 0 over the conductances G of the diodes for which it
   * resonates at 0.2 to 3 radians a step. Of a·s² + b·s + c it is √(ac)/b. A block with diodes takes two steps a
   * sample. Each diode adds 4 pF to C_f.
   */
  function largestQ({ loadF = 39e-9, loadS = 0, feedbackF = 0, feedbackS = 1e-5 }): number {
    const w = 2 * Math.PI * AMPLIFIER.gainBandwidthHz;
    const [farads, betweenF] = [loadF + feedbackF + 8e-12, feedbackF + 8e-12];
    const siemens = Array.from({ length: 400 }, (_, k) => feedbackS * 10 ** (k / 100));
    const critical = siemens.filter((each) => {
      const radians = Math.sqrt((w * each) / farads) / (2 * RATE_HZ);
      return radians > 0.2 && radians < 3;
    });
    return Math.max(
      0,
      ...critical.map((each) => Math.sqrt(farads * w * each) / (loadS + each + w * betweenF)),
    );
  }

  const c1 = capacitor('C1', 'minus', GROUND, 39e-9);
  const series = (ohms: number) => [capacitor('C2', 'minus', 'x', 1e-6), resistor('R2', 'x', GROUND, ohms)];
  it.each<[string, number, Primitive[]]>([
    [
      '200 pF in the feedback',
      largestQ({ feedbackF: 200e-12 }),
      [c1, capacitor('C3', 'minus', 'out', 200e-12)],
    ],
    [
      '450 pF in the feedback',
      largestQ({ feedbackF: 450e-12 }),
      [c1, capacitor('C3', 'minus', 'out', 450e-12)],
    ],
    ['10 Ω in the feedback', largestQ({ feedbackS: 0.1 }), [c1, resistor('R3', 'minus', 'out', 10)]],
    ['240 Ω to ground', largestQ({ loadS: 1 / 240 }), [c1, resistor('R2', 'minus', GROUND, 240)]],
    ['115 Ω to ground', largestQ({ loadS: 1 / 115 }), [c1, resistor('R2', 'minus', GROUND, 115)]],
    ['1 µF with 240 Ω to ground', largestQ({ loadS: 1 / 240 }), [c1, ...series(240)]],
    ['1 µF with 115 Ω to ground', largestQ({ loadS: 1 / 115 }), [c1, ...series(115)]],
  ])('uses the damped formula only where it resonates with a Q above 5: %s, Q %d', (_, q, parts) => {
    // With the third-order formula a resonance of a Q above 7 can grow. These are not near 5.
    expect(Math.abs(q - 5)).toBeGreaterThan(0.3);
    expect(formulasOf(clipper(...parts))).toEqual([q > 5 ? 'damped' : 'third']);
  });

  it('takes a capacitor for its load also behind a resistor to ground that is nearly a short', () => {
    const ended = (ohms: number) =>
      clipper(capacitor('C1', 'minus', 'x', 47e-9), resistor('R2', 'x', GROUND, ohms));
    // 47 nF and 1 Ω have a time constant of 0.02 steps, with 4.7 kΩ 85 steps.
    expect(formulasOf(ended(1))).toEqual(['damped']);
    expect(formulasOf(ended(4.7e3))).toEqual(['third']);
  });

  it('is decided also where a resistance is so small that its conductance is no finite number', () => {
    const shorted = clipper(
      capacitor('C1', 'minus', GROUND, 47e-9),
      resistor('R3', 'minus', 'out', Number.MIN_VALUE),
    );
    const elements = shorted.primitives.map((primitive) => {
      const names = ['0', 'in', 'vcc', 'vee', 'minus', 'out'];
      const nodes = primitive.nodes.map((name) => names.indexOf(name));
      return { primitive, offset: 0, nodes };
    });
    const held = new Set([0, 1, 2, 3, 5]);
    expect(resonantOpamps(elements, held, NOMINAL_TEMPERATURE_K, RATE_HZ)).toEqual(new Set());
  });

  it('becomes silent after a tone', () => {
    const circuit = clipper(capacitor('C1', 'minus', GROUND, 47e-9));
    const length = 0.04 * RATE_HZ;
    const input = sine(length, RATE_HZ, 5000, 0.5).map((volts, n) => (n < length / 4 ? volts : 0));
    const { output } = run(circuit, RATE_HZ, input);
    // R1·C1, 4.7 ms, is the slowest time constant; the third-order formula left an alternation of a tenth of a volt.
    const last = output.subarray(length - 200);
    const alternation = last.map((volts, n) => (n < 1 ? 0 : volts - last[n - 1]!));
    expect(peakOf(alternation)).toBeLessThan(1e-3);
  });

  it.each(presetNames())('does not need the damped formula in: %s', (name) => {
    const formulas = formulasOf(networkOf(presetBuild(name), NOMINAL_TEMPERATURE_K));
    expect(new Set(formulas)).toEqual(new Set(['third']));
  });
});
