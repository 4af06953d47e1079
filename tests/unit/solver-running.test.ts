import { describe, expect, it } from 'vitest';
import { FrequencyResponse } from '../../engine/analysis/frequency-response.ts';
import type { Build, PartSetting } from '../../engine/builds/build.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { presetNames } from '../../engine/cli/preset-files.ts';
import { GROUND } from '../../engine/devices/node.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';

import { CircuitSimulator } from '../../engine/solver/circuit-simulator.ts';
import { circuitValues, compileCircuit } from '../../engine/solver/compile.ts';
import { presetBuild } from '../preset-build.ts';
import { capacitor, diode, network, resistor, SILICON, uniform } from './small-networks.ts';

const RATE_HZ = 8 * 48_000;
const OPTIONS = { sampleRateHz: RATE_HZ };

const simulatorOf = (build: Build, interpreted = false) =>
  new CircuitSimulator(compileCircuit(networkOf(build, NOMINAL_TEMPERATURE_K), { ...OPTIONS, interpreted }));
const withParts = (build: Build, parts: Record<string, PartSetting>): Build => ({
  ...build,
  parts: { ...build.parts, ...parts },
});

function run(simulator: CircuitSimulator, input: Float64Array): Float64Array {
  const output = new Float64Array(input.length);
  simulator.process(input, output, input.length);
  return output;
}
const tone = (seconds: number, peakV: number, hz: number) =>
  Float64Array.from(
    { length: RATE_HZ * seconds },
    (_, n) => peakV * Math.sin((2 * Math.PI * hz * n) / RATE_HZ),
  );
const peakOf = (signal: Float64Array) => signal.reduce((most, volts) => Math.max(most, Math.abs(volts)), 0);
const differenceOf = (a: Float64Array, b: Float64Array) => peakOf(a.map((volts, n) => volts - b[n]!));

describe('a circuit without input', () => {
  it.each(presetNames())('stays at rest: %s', (name) => {
    // Block solver and operating point are two ways to solve the same equations, each good to a nanovolt.
    expect(peakOf(run(simulatorOf(presetBuild(name)), new Float64Array(RATE_HZ * 0.1)))).toBeLessThan(1e-8);
  });
});

describe('a count of Newton iterations', () => {
  it.each([
    ['emitted code', false],
    ['the interpreter', true],
  ])('is one for each step of a clipper at rest, where the first one is exact, in %s', (_, interpreted) => {
    const circuit = network([
      resistor('R1', 'in', 'out', 2200),
      capacitor('C1', 'out', GROUND, 10e-9),
      diode('D1', ['out', GROUND], SILICON),
      diode('D2', [GROUND, 'out'], SILICON),
    ]);
    const simulator = new CircuitSimulator(compileCircuit(circuit, { ...OPTIONS, interpreted }));
    const [block] = simulator.circuit.blocks;
    for (const frames of [1, 1000]) {
      const before = simulator.newtonIterations;
      run(simulator, new Float64Array(frames));
      expect(simulator.newtonIterations - before).toBe(frames * block!.substeps);
    }
  });
});

describe('the charge of a capacitor after a note', () => {
  it.each([1, -1])('becomes zero before its numbers are so small that they are slow: after %d V', (volts) => {
    const circuit = network([
      resistor('R1', 'in', 'out', 1000),
      // A time constant of one sample.
      capacitor('C1', 'out', GROUND, 1 / (1000 * RATE_HZ)),
    ]);
    const simulator = new CircuitSimulator(compileCircuit(circuit, OPTIONS));
    const kept = () => [...simulator.memory.blocks[0]!.stateHistory].map(Math.abs);
    run(simulator, new Float64Array(64).fill(volts));
    expect(Math.max(...kept())).toBeCloseTo(1, 9);
    // With e⁻¹ a sample or a little slower, 1e-150 is reached within 700 samples; numbers below 2.2e-308 are subnormal.
    for (let n = 0; n < 100; n++) {
      run(simulator, new Float64Array(16));
      for (const magnitude of kept()) expect(magnitude === 0 || magnitude > 2.3e-308).toBe(true);
    }
    expect(kept().every((magnitude) => magnitude === 0)).toBe(true);
  });
});

describe('blocks', () => {
  it('divide the soft-clip circuit at op-amp outputs and rails', () => {
    const { blocks, rails, nodeNames } = compileCircuit(
      networkOf(presetBuild('soft-plain'), NOMINAL_TEMPERATURE_K),
      OPTIONS,
    );
    expect(rails.map(({ node }) => nodeNames[node])).toEqual(['supply', 'bias']);
    const solved = blocks.map(({ unknowns }) => unknowns.map((node) => nodeNames[node]));
    expect(solved.slice(0, 4).map(([first]) => first)).toEqual([
      'base',
      'gain feedback',
      'tone input',
      'C7.2',
    ]);
  });

  it('are merged where the bias has no large capacitor; with a large one the rail is advanced separately with the same result', () => {
    const build = presetBuild('soft-plain');
    const merged = compileCircuit(
      networkOf(withParts(build, { C10: { value: '1n' } }), NOMINAL_TEMPERATURE_K),
      OPTIONS,
    );
    expect(merged.rails.map(({ node }) => merged.nodeNames[node])).toEqual(['supply']);
    // The same network; its bias is once a rail, and once an unknown of one large block.
    const network = networkOf(build, NOMINAL_TEMPERATURE_K);
    const whole = compileCircuit({ ...network, rails: [] }, OPTIONS);
    expect(whole.blocks.length).toBeLessThan(compileCircuit(network, OPTIONS).blocks.length);
    const input = tone(0.05, 1, 82);
    const split = run(simulatorOf(build), input);
    const joint = run(new CircuitSimulator(whole), input);
    // An error of −90 dB by the division would be as small as the solver's own errors.
    expect(differenceOf(split, joint)).toBeLessThan(10 ** (-90 / 20) * peakOf(joint));
  });

  it('give the same in emitted code as in the interpreter, with any parts', () => {
    const plain = presetBuild('soft-asymmetric');
    const builds = [
      withParts(plain, { D2: { type: 'LED-red', count: 2 }, D3: { type: '1N34A' } }),
      withParts(plain, { C4: { value: '51p', fit: 'open' }, D1: { type: 'BAT46', piggyback: '1N4001' } }),
      withParts(plain, { R17: { value: '10R', fit: 'bridged' }, C10: { value: '10n' } }),
      withParts(presetBuild('clean-plain'), { D3: { type: '1N5817' }, R6: { value: '1k', fit: 'bridged' } }),
      withParts(presetBuild('soft-plain'), { C11: { value: '100u', fit: 'open' } }),
    ];
    const input = tone(0.02, 1, 440);
    for (const build of builds) {
      const fast = simulatorOf(build);
      const slow = simulatorOf(build, true);
      // The exponentials differ by 1e-12, and the sums have another order.
      expect(differenceOf(run(fast, input), run(slow, input))).toBeLessThan(1e-10);
      expect([fast.failures, fast.resets, slow.failures, slow.resets]).toEqual([0, 0, 0, 0]);
    }
  });

  it('give the same gain for a small sine as the small-signal solution', () => {
    const network = networkOf(presetBuild('soft-plain'), NOMINAL_TEMPERATURE_K);
    const response = new FrequencyResponse(network);
    for (const hz of [82, 440, 1000, 5000]) {
      const seconds = 1.2;
      const simulator = new CircuitSimulator(compileCircuit(network, { sampleRateHz: 2 * RATE_HZ }));
      const rate = 2 * RATE_HZ;
      const input = Float64Array.from(
        { length: rate * seconds },
        (_, n) => 1e-3 * Math.sin((2 * Math.PI * hz * n) / rate),
      );
      const settled = run(simulator, input).subarray(rate * 0.2);
      let re = 0;
      let im = 0;
      settled.forEach((volts, n) => {
        const phase = (2 * Math.PI * hz * (n + rate * 0.2)) / rate;
        re += volts * Math.sin(phase);
        im += volts * Math.cos(phase);
      });
      const { decibels, phaseDegrees } = response.at(hz, 'out');
      const scale = 2 / settled.length / 1e-3;
      expect(Math.abs(20 * Math.log10(scale * Math.hypot(re, im)) - decibels), `${hz} Hz`).toBeLessThan(0.05);
      expect(Math.abs((Math.atan2(im, re) * 180) / Math.PI - phaseDegrees), `${hz} Hz`).toBeLessThan(0.5);
    }
  });
});

describe('values that change while it runs', () => {
  it('do not change the output when a coupling capacitor becomes three times as large', () => {
    // If currents were kept instead of voltages, there would be a thump of tens of millivolts.
    const simulator = simulatorOf(presetBuild('soft-plain'));
    run(simulator, new Float64Array(4000));
    const { parameters } = circuitValues(
      networkOf(withParts(presetBuild('soft-plain'), { C2: { value: '3u3' } }), NOMINAL_TEMPERATURE_K),
      OPTIONS,
    );
    simulator.setParameters(parameters, 0);
    expect(peakOf(run(simulator, new Float64Array(4000)))).toBeLessThan(1e-8);
  });

  it('do not change voltage and current of any capacitor in the middle of a note', () => {
    const input = tone(0.03, 0.2, 220);
    const half = input.length / 2;
    const steady = run(simulatorOf(presetBuild('soft-plain')), input);
    const simulator = simulatorOf(presetBuild('soft-plain'));
    const first = run(simulator, input.subarray(0, half));
    const { parameters } = circuitValues(
      networkOf(withParts(presetBuild('soft-plain'), { C5: { value: '330n' } }), NOMINAL_TEMPERATURE_K),
      OPTIONS,
    );
    simulator.setParameters(parameters, 0);
    const second = run(simulator, input.subarray(half));
    const usual = Math.max(...steady.subarray(1).map((volts, n) => Math.abs(volts - steady[n]!)));
    expect(Math.abs(second[0]! - first.at(-1)!)).toBeLessThan(2 * usual);
  });

  it('give the old result again when they return', () => {
    const build = presetBuild('clean-plain');
    const moved = circuitValues(
      networkOf({ ...build, knobs: { ...build.knobs, gain: 1, bass: 0 } }, NOMINAL_TEMPERATURE_K),
      OPTIONS,
    ).parameters;
    const simulator = simulatorOf(build);
    const still = simulatorOf(build);
    const input = tone(0.05, 0.2, 196);
    simulator.setParameters(moved, 0.01);
    run(simulator, input);
    simulator.setParameters(simulator.circuit.parameters, 0.01);
    for (let n = 0; n < 40; n++) run(simulator, input);
    for (let n = 0; n < 41; n++) run(still, input);
    expect(simulator.isGliding).toBe(false);
    // After two seconds of slow settling, within a thousandth of the signal.
    expect(differenceOf(run(simulator, input), run(still, input))).toBeLessThan(
      1e-3 * peakOf(run(still, input)),
    );
  });

  it('give the same samples in blocks of any length', () => {
    const input = tone(0.02, 0.5, 440);
    const target = circuitValues(
      networkOf(
        { ...presetBuild('soft-plain'), knobs: { gain: 1, tone: 0, output: 1 } },
        NOMINAL_TEMPERATURE_K,
      ),
      OPTIONS,
    );
    const outputs = [1, 37, 128, 512, input.length].map((block) => {
      const simulator = simulatorOf(presetBuild('soft-plain'));
      simulator.setParameters(target.parameters, 0.01);
      const output = new Float64Array(input.length);
      for (let start = 0; start < input.length; start += block) {
        const end = Math.min(input.length, start + block);
        simulator.process(input.subarray(start, end), output.subarray(start, end), end - start);
      }
      return output;
    });
    for (const output of outputs) expect(output).toEqual(outputs[0]);
  });
});

describe('input that no guitar can give', () => {
  const draw = uniform(3);
  it.each([
    ['white noise at 5 V', () => 5 * (2 * draw() - 1)],
    ['impulses of 20 V', (n: number) => (n % 997 === 0 ? 20 : 0)],
    ['15 kHz at 5 V', (n: number) => 5 * Math.sin((2 * Math.PI * 15e3 * n) / RATE_HZ)],
  ])('converges in every sample: %s', (_, sample) => {
    for (const name of ['soft-plain', 'soft-germanium', 'soft-asymmetric', 'soft-lifted', 'clean-plain']) {
      const simulator = simulatorOf(presetBuild(name));
      const output = run(
        simulator,
        Float64Array.from({ length: 40_000 }, (_, n) => sample(n)),
      );
      expect([simulator.failures, simulator.resets], name).toEqual([0, 0]);
      expect(output.every(Number.isFinite), name).toBe(true);
      expect(peakOf(output), name).toBeLessThan(30);
    }
  });

  it.each([true, false])(
    'recovers from a number that is not finite, and counts it (interpreter %s)',
    (interpreted) => {
      const simulator = simulatorOf(presetBuild('soft-plain'), interpreted);
      const input = tone(0.05, 0.2, 220);
      input[5000] = Number.NaN;
      input[6000] = Number.POSITIVE_INFINITY;
      const output = run(simulator, input);
      expect(output.every(Number.isFinite)).toBe(true);
      expect(simulator.resets).toBeGreaterThanOrEqual(2);
      expect(peakOf(output.subarray(15_000))).toBeGreaterThan(0.01);
    },
  );
});
