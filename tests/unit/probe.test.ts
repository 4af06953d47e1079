import { describe, expect, it } from 'vitest';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { GROUND } from '../../engine/devices/node.ts';
import { NOMINAL_TEMPERATURE_K, thermalVoltage } from '../../engine/devices/physics.ts';
import type { Network } from '../../engine/network/network.ts';
import { CircuitSimulator } from '../../engine/solver/circuit-simulator.ts';
import { circuitValues, compileCircuit } from '../../engine/solver/compile.ts';
import { presetBuild } from '../preset-build.ts';
import {
  capacitor,
  differenceOf,
  diode,
  network,
  peakOf,
  resistor,
  run,
  sine,
  source,
} from './small-networks.ts';

const RATE_HZ = 8 * 48_000;
const OPTIONS = { sampleRateHz: RATE_HZ };

function probed(circuit: Network, net: string, input: Float64Array, interpreted = false) {
  const simulator = new CircuitSimulator(compileCircuit(circuit, { ...OPTIONS, interpreted }));
  simulator.probe(simulator.circuit.nodeNames.indexOf(net));
  const output = new Float64Array(input.length);
  const volts = new Float64Array(input.length);
  simulator.process(input, output, input.length, volts);
  return { simulator, output, volts };
}

describe.each([
  ['emitted code', false],
  ['the interpreter', true],
])('a probe in %s', (_, interpreted) => {
  it('measures the voltage of a divider at each of its nets', () => {
    const parts = ['in', 'a', 'b', 'out', GROUND]
      .slice(0, 4)
      .map((node, index, all) => resistor(`R${index}`, node, all[index + 1] ?? GROUND, 1000));
    const input = sine(400, RATE_HZ, 1000, 2);
    for (const [net, share] of [
      ['in', 1],
      ['a', 0.75],
      ['b', 0.5],
      ['out', 0.25],
    ] as const) {
      const { volts } = probed(network(parts), net, input, interpreted);
      // Sums of a few numbers near 2 V, each exact to 2e-16 of itself.
      expect(
        differenceOf(
          volts,
          input.map((value) => share * value),
        ),
        net,
      ).toBeLessThan(1e-12);
    }
  });

  it('measures the corner of an RC low-pass', () => {
    // 10 kΩ and 15.9155 nF: f = 1000.0 Hz, so a gain of 1/√2 there.
    const circuit = network([
      resistor('R1', 'in', 'corner', 10_000),
      capacitor('C1', 'corner', GROUND, 1 / (2 * Math.PI * 1000 * 10_000)),
      resistor('R2', 'in', 'out', 1000),
      resistor('R3', 'out', GROUND, 1000),
    ]);
    const { volts } = probed(circuit, 'corner', sine(8 * 384, RATE_HZ, 1000, 1), interpreted);
    // After eight periods e^(−50) of the transient remains; the corner is 3e-6 off, the peak 3e-5 off the grid.
    expect(peakOf(volts.subarray(7 * 384))).toBeCloseTo(Math.SQRT1_2, 4);
  });

  it('measures a diode clipper as the diode’s equation gives it', () => {
    const data = {
      saturationCurrentA: 1e-12,
      emissionCoefficient: 1,
      seriesOhms: 0,
      zeroBiasCapacitanceF: 0,
    };
    const circuit = network([
      resistor('R1', 'in', 'clipped', 1000),
      diode('D1', ['clipped', GROUND], data),
      resistor('R2', 'clipped', 'out', 1e6),
      resistor('R3', 'out', GROUND, 1e6),
    ]);
    const { volts } = probed(circuit, 'clipped', new Float64Array(100).fill(2), interpreted);
    const v = volts.at(-1)!;
    const currentA = 1e-12 * Math.expm1(v / thermalVoltage(300.15));
    // Kirchhoff's current law at the net: in through R1, out through the diode and the divider.
    expect((2 - v) / 1000).toBeCloseTo(currentA + v / 2e6, 8);
  });

  it('measures supplies, ground and the input of a wire, which are in no block', () => {
    const circuit = network(
      [source('vcc', 9), resistor('R1', 'in', GROUND, 1000), resistor('R2', 'vcc', GROUND, 1000)],
      {
        output: 'in',
      },
    );
    const input = sine(100, RATE_HZ, 1000, 1);
    expect([...probed(circuit, 'in', input, interpreted).volts]).toEqual([...input]);
    expect(new Set(probed(circuit, 'vcc', input, interpreted).volts)).toEqual(new Set([9]));
    expect(new Set(probed(circuit, GROUND, input, interpreted).volts)).toEqual(new Set([0]));
  });
});

describe.each(['soft-plain', 'clean-plain'])('every net of %s', (name) => {
  const circuit = networkOf(presetBuild(name), NOMINAL_TEMPERATURE_K);
  const input = sine(3000, RATE_HZ, 440, 0.3);
  const nets = compileCircuit(circuit, { ...OPTIONS, interpreted: true }).nodeNames.filter(
    (net) => net !== GROUND,
  );

  it('has the same voltage by the probe and by a circuit that was compiled to observe it', () => {
    const observing = new CircuitSimulator(compileCircuit(circuit, { ...OPTIONS, observed: nets }));
    const output = new Float64Array(input.length);
    const at = (net: string) => observing.voltage(observing.circuit.nodeNames.indexOf(net));
    observing.process(input, output, input.length - 1);
    const before = new Map(nets.map((net) => [net, at(net)]));
    observing.process(input.subarray(-1), output, 1);
    for (const net of nets) {
      // A rail is advanced at the end of a sample: the probe measures it as the sample used it.
      const wanted = circuit.rails.includes(net) ? before.get(net)! : at(net);
      const { volts } = probed(circuit, net, input);
      // Up to 17 V, as sums of about twenty terms in another order. For a block of several steps the probe has the
      // voltage at the end of the sample, where the observed net has the decimated voltage: in this sine the two differ
      // by up to 1.2e-4 V, where the clipped signal of clean-blend bends most.
      expect(Math.abs(volts.at(-1)! - wanted), net).toBeLessThan(2e-4);
    }
  });

  it('does not change the output, to the last bit', () => {
    const { output } = run(circuit, RATE_HZ, input);
    for (const net of nets) expect([...probed(circuit, net, input).output], net).toEqual([...output]);
  });
});

it('can be moved from net to net while the circuit plays', () => {
  const circuit = networkOf(presetBuild('soft-plain'), NOMINAL_TEMPERATURE_K);
  const input = sine(2048, RATE_HZ, 440, 0.3);
  const { simulator, volts } = probed(circuit, 'clipped', input);
  const atOutput = new Float64Array(input.length);
  const output = new Float64Array(input.length);
  simulator.probe(simulator.circuit.outputIndex);
  simulator.process(input, output, input.length, atOutput);
  // The same number from two sums in another order.
  expect(differenceOf(atOutput, output)).toBeLessThan(1e-12);
  simulator.probe(-1);
  simulator.process(input, output, input.length, volts);
  expect(peakOf(volts)).toBe(0);
});

it('measures nothing before a net is chosen', () => {
  const simulator = new CircuitSimulator(
    compileCircuit(
      network([resistor('R1', 'in', 'out', 1000), resistor('R2', 'out', GROUND, 1000)]),
      OPTIONS,
    ),
  );
  const input = new Float64Array(10).fill(1);
  const [output, volts] = [new Float64Array(10), new Float64Array(10).fill(9)];
  simulator.process(input, output, 10, volts);
  expect(output[9]).toBeCloseTo(0.5, 12);
  expect([...volts]).toEqual(new Array(10).fill(0));
});

it('follows a gliding value', () => {
  const divider = (ohms: number) =>
    network([
      resistor('R1', 'in', 'tap', 1000),
      resistor('R2', 'tap', 'out', ohms),
      resistor('R3', 'out', GROUND, 1000),
    ]);
  const { simulator } = probed(divider(1000), 'tap', new Float64Array(10).fill(1));
  simulator.setParameters(circuitValues(divider(2000), OPTIONS).parameters, 0.001);
  const input = new Float64Array(1000).fill(1);
  const volts = new Float64Array(1000);
  simulator.process(input, new Float64Array(1000), 1000, volts);
  expect(volts[0]).toBeLessThan(0.68);
  expect(volts.at(-1)).toBeCloseTo(0.75, 12);
});

it('is the operating point in a sample with a fault', () => {
  const circuit = networkOf(presetBuild('soft-plain'), NOMINAL_TEMPERATURE_K);
  const input = sine(600, RATE_HZ, 440, 0.3);
  input[500] = Number.NaN;
  const { volts, simulator } = probed(circuit, 'clipped', input);
  expect(simulator.resets).toBeGreaterThan(0);
  expect(volts.every(Number.isFinite)).toBe(true);
});
