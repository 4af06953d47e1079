import { describe, expect, it } from 'vitest';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { GROUND } from '../../engine/devices/node.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import { CircuitSimulator } from '../../engine/solver/circuit-simulator.ts';
import { circuitValues, compileCircuit } from '../../engine/solver/compile.ts';
import { presetBuild } from '../preset-build.ts';
import { fieldEffect, network, peakOf, resistor, sine, source } from './small-networks.ts';

const RATE_HZ = 384_000;
/** Values change once in a third of a millisecond. */
const CONTROL_SAMPLES = RATE_HZ / 3000;

const largestStep = (signal: Float64Array) =>
  peakOf(signal.subarray(1).map((volts, n) => volts - signal[n]!));

describe('values that glide', () => {
  const data = { betaAPerV2: 1e-3, thresholdV: -1.5, lambdaPerV: 0, gateSaturationCurrentA: 1e-14 };
  const circuit = network([
    source('vcc', 9),
    resistor('R1', 'vcc', 'out', 1e3),
    resistor('R2', 'out', GROUND, 1e3),
    fieldEffect('nJfet', 'Q1', ['out', 'gate', GROUND], data),
    resistor('R3', 'in', 'gate', 1e3),
  ]);
  const [SOURCE, R1, R2, THRESHOLD] = [0, 1, 2, 4] as const;

  it('pass the geometric mean at half time, negative ones the arithmetic mean, and end at the exact target', () => {
    const simulator = new CircuitSimulator(compileCircuit(circuit, { sampleRateHz: RATE_HZ }));
    const target = Float64Array.from(simulator.circuit.parameters);
    target[SOURCE] = 16;
    target[R1] = 100e3;
    target[THRESHOLD] = -0.5;
    const steps = 20;
    simulator.setParameters(target, (steps * CONTROL_SAMPLES) / RATE_HZ);
    const silence = new Float64Array((steps / 2) * CONTROL_SAMPLES);
    const output = new Float64Array(silence.length);
    simulator.process(silence, output, silence.length);
    const { parameters } = simulator.memory;
    expect(parameters[SOURCE]).toBeCloseTo(12, 9);
    expect(parameters[R1]).toBeCloseTo(10e3, 6);
    expect(parameters[THRESHOLD]).toBeCloseTo(-1, 12);
    expect(parameters[R2]).toBe(1e3);
    expect(simulator.isGliding).toBe(true);
    simulator.process(silence, output, silence.length);
    expect(simulator.isGliding).toBe(false);
    expect(parameters).toEqual(target);
  });

  it('keep the total resistance of a potentiometer while its wiper moves', () => {
    const build = presetBuild('soft-plain');
    const options = { sampleRateHz: RATE_HZ };
    const at = (output: number) =>
      networkOf({ ...build, knobs: { ...build.knobs, output } }, NOMINAL_TEMPERATURE_K);
    const simulator = new CircuitSimulator(compileCircuit(at(0), options));
    const halves = [...simulator.circuit.parameters].flatMap((value, index) =>
      // The conductance of an op-amp's load moves too; it is below 1 S, and the halves are above 1 Ω.
      value === circuitValues(at(1), options).parameters[index] || value < 1 ? [] : [index],
    );
    expect(halves.length).toBe(2);
    const whole = () => halves.reduce((sum, index) => sum + simulator.memory.parameters[index]!, 0);
    const before = whole();
    simulator.setParameters(circuitValues(at(1), options).parameters, 0.01);
    const silence = new Float64Array(CONTROL_SAMPLES);
    for (let step = 0; step < 30; step++) {
      simulator.process(silence, new Float64Array(CONTROL_SAMPLES), CONTROL_SAMPLES);
      expect(whole() / before).toBeCloseTo(1, 9);
    }
  });

  it('change direction if a new target comes during the glide', () => {
    const simulator = new CircuitSimulator(compileCircuit(circuit, { sampleRateHz: RATE_HZ }));
    const [start, target] = [simulator.circuit.parameters, Float64Array.from(simulator.circuit.parameters)];
    target[R1] = 1e6;
    const input = new Float64Array(1000);
    const output = new Float64Array(1000);
    simulator.process(input, output, 1000);
    const before = output[999]!;
    simulator.setParameters(target, 0.01);
    simulator.process(input, output, 1000);
    expect(output[999]).not.toBe(before);
    simulator.setParameters(start, 0.002);
    for (let n = 0; n < 2; n++) simulator.process(input, output, 1000);
    // This network has no state; Newton's method ends within its linearised tolerance.
    expect(output[999]).toBeCloseTo(before, 8);
  });

  it('change the gain without a click where a jump would make one', () => {
    const build = presetBuild('soft-plain');
    const at = (gain: number) =>
      networkOf({ ...build, knobs: { ...build.knobs, gain } }, NOMINAL_TEMPERATURE_K);
    const tone = sine(RATE_HZ * 0.1, RATE_HZ, 220, 0.02);
    const steady = [0, 1].map((gain) => {
      const output = new Float64Array(tone.length);
      new CircuitSimulator(compileCircuit(at(gain), { sampleRateHz: RATE_HZ })).process(
        tone,
        output,
        tone.length,
      );
      return largestStep(output);
    });
    const turned = (seconds: number) => {
      const simulator = new CircuitSimulator(compileCircuit(at(0), { sampleRateHz: RATE_HZ }));
      const output = new Float64Array(tone.length);
      // After a quarter of a period the tone is at its peak, so a jump of gain is largest there.
      const start = RATE_HZ * 0.05 + Math.round(RATE_HZ / 880);
      simulator.process(tone, output, start);
      simulator.setParameters(circuitValues(at(1), { sampleRateHz: RATE_HZ }).parameters, seconds);
      simulator.process(tone.subarray(start), output.subarray(start), tone.length - start);
      return {
        whole: largestStep(output),
        first: largestStep(output.subarray(start, start + RATE_HZ / 1000)),
      };
    };
    expect(turned(0.01).whole).toBeLessThan(1.2 * Math.max(...steady));
    expect(turned(0).first).toBeGreaterThan(2 * turned(0.01).first);
  });

  it('follow a glide in steps of 10 µs to -58 dB where a volume pot moves a tenth of its range in 10 ms', () => {
    const build = presetBuild('soft-plain');
    const options = { sampleRateHz: RATE_HZ };
    const at = (output: number) =>
      networkOf({ ...build, knobs: { ...build.knobs, output } }, NOMINAL_TEMPERATURE_K);
    const [from, to] = [at(0.45), at(0.55)].map((end) => circuitValues(end, options).parameters);
    const compiled = compileCircuit(at(0.45), options);
    const glideSamples = 0.01 * RATE_HZ;
    const start = RATE_HZ * 0.1;
    const tone = sine(start + glideSamples * 1.2, RATE_HZ, 1000, 0.1);
    const glide = new Float64Array(tone.length);
    const simulator = new CircuitSimulator(compiled);
    simulator.process(tone, glide, start);
    simulator.setParameters(to!, 0.01);
    simulator.process(tone.subarray(start), glide.subarray(start), tone.length - start);
    // Steps of 83 µs are earlier than steps of 10 µs, on average by half of the difference.
    const fine = new Float64Array(tone.length);
    const stepSamples = 4;
    const ahead = (CONTROL_SAMPLES / 4 - stepSamples) / 2;
    const reference = new CircuitSimulator(compiled);
    reference.process(tone, fine, start - ahead);
    for (let n = start - ahead; n < tone.length; n += stepSamples) {
      const share = Math.min(1, (n + stepSamples - start + ahead) / glideSamples);
      reference.setParameters(
        from!.map((value, index) => value + share * (to![index]! - value)),
        0,
      );
      reference.process(tone.subarray(n), fine.subarray(n), Math.min(stepSamples, tone.length - n));
    }
    // Single steps of a third of a millisecond leave -49 dB.
    const rms = (signal: Float64Array) => Math.hypot(...signal.subarray(start));
    expect(20 * Math.log10(rms(glide.map((volts, n) => volts - fine[n]!)) / rms(glide))).toBeLessThan(-58);
  });

  it('may be interrupted and then give exactly the samples of before when they return', () => {
    const build = presetBuild('soft-plain');
    const at = (gain: number) =>
      networkOf({ ...build, knobs: { ...build.knobs, gain } }, NOMINAL_TEMPERATURE_K);
    const options = { sampleRateHz: RATE_HZ };
    const settled = (targets: readonly Float64Array[]) => {
      const simulator = new CircuitSimulator(compileCircuit(at(0.2), options));
      const output = new Float64Array(0.2 * RATE_HZ);
      const silence = new Float64Array(output.length);
      for (const target of targets) {
        simulator.setParameters(target, 0.01);
        // In the middle of a control step and of a ramp step.
        simulator.process(silence, output, 3 * CONTROL_SAMPLES + 45);
      }
      simulator.process(silence, output, output.length);
      expect(simulator.isGliding).toBe(false);
      return simulator.memory.blocks.map(({ portRows, stateRows }) => [portRows, stateRows]);
    };
    const [start, other] = [0.2, 0.9].map((gain) => circuitValues(at(gain), options).parameters);
    expect(settled([other!, start!])).toEqual(settled([]));
    const turned = new CircuitSimulator(compileCircuit(at(0.9), options));
    expect(settled([other!, start!, other!])).toEqual(
      turned.memory.blocks.map(({ portRows, stateRows }) => [portRows, stateRows]),
    );
  });
});
