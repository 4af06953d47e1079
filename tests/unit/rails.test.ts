import { describe, expect, it } from 'vitest';
import { GROUND } from '../../engine/devices/node.ts';
import type { Network, Primitive } from '../../engine/network/network.ts';
import { CircuitSimulator } from '../../engine/solver/circuit-simulator.ts';
import { compileCircuit } from '../../engine/solver/compile.ts';
import {
  capacitor,
  differenceOf,
  diode,
  network,
  opamp,
  peakOf,
  resistor,
  run,
  sine,
  source,
} from './small-networks.ts';

const RATE_HZ = 192_000;

/** A bias of 5 kΩ with a large capacitor, and the parts of a circuit that connect to it. */
const biased = (...parts: Primitive[]) =>
  network(
    [
      source('vcc', 9),
      resistor('R1', 'vcc', 'bias', 10e3),
      resistor('R2', 'bias', GROUND, 10e3),
      capacitor('C1', 'bias', GROUND, 47e-6),
      ...parts,
    ],
    { output: 'bias', rails: ['bias'] },
  );

/** Largest distance of the output from ground in half a second at 3 kHz and 2 V. */
function farthestV(circuit: Network): number {
  const simulator = new CircuitSimulator(compileCircuit(circuit, { sampleRateHz: RATE_HZ }));
  const length = RATE_HZ / 2;
  const input = Float64Array.from({ length }, (_, n) => 2 * Math.sin((2 * Math.PI * 3000 * n) / RATE_HZ));
  const output = new Float64Array(length);
  simulator.process(input, output, length);
  return peakOf(output);
}

describe('a rail', () => {
  it('is advanced separately from the blocks where resistors separate its capacitors from them', () => {
    const circuit = biased(capacitor('C2', 'bias', 'out', 1e-7), resistor('R3', 'out', 'in', 1e3));
    expect(compileCircuit(circuit, { sampleRateHz: RATE_HZ }).rails).toHaveLength(1);
  });

  const schottky = {
    saturationCurrentA: 1e-6,
    emissionCoefficient: 1.05,
    seriesOhms: 0.05,
    zeroBiasCapacitanceF: 1e-10,
  };
  const railsWith = (...parts: Primitive[]) =>
    compileCircuit(biased(...parts), { sampleRateHz: RATE_HZ }).rails.length;

  it('does not exist where a diode joins it to a driven net, unless a resistor limits the diode’s conductance', () => {
    // 20 S with 47 µF: the step is half a time constant.
    const driven = resistor('R3', 'in', 'out', 1e-2);
    expect(railsWith(driven, diode('D1', ['out', 'bias'], schottky))).toBe(0);
    const limited = resistor('R3', 'in', 'out', 10);
    expect(railsWith(limited, diode('D1', ['out', 'bias'], schottky))).toBe(1);
  });

  const amplifier = {
    gainBandwidthHz: 4e6,
    slewVPerS: 1e7,
    openLoopGain: 1e5,
    headroomHighV: 1,
    headroomLowV: 1,
    inputBiasA: 0,
    quiescentA: 1e-3,
  };

  // A rail is solved separately below 0.1 of its capacitance times the rate: 0.9 S with 47 µF at 192 kHz.
  it('does not exist where an op-amp’s output, which may follow it through an input, is joined to it', () => {
    const joined = (ohms: number) =>
      railsWith(
        opamp('U1', ['in', 'out', 'out', 'vcc', GROUND], amplifier),
        resistor('R3', 'out', 'bias', ohms),
      );
    // In one step, of 11/6 of the rate, an amplifier of 4 MHz gets 71 times as far as its input.
    expect(joined(40)).toBe(0);
    expect(joined(200)).toBe(1);
  });

  it('does not exist where the output of an op-amp that it supplies, which follows it at its limit, is joined to it', () => {
    // It rests at its supply, so that no current flows between the two.
    const slow = { ...amplifier, gainBandwidthHz: 1e4, headroomHighV: 0 };
    const joined = (ohms: number) =>
      network(
        [
          source('vcc', 9),
          resistor('R1', 'vcc', 'supply', 100),
          capacitor('C1', 'supply', GROUND, 47e-6),
          opamp('U1', ['supply', 'out', 'out', 'supply', GROUND], slow),
          resistor('R2', 'out', 'supply', ohms),
        ],
        { rails: ['supply'] },
      );
    // As its own part, as a load of the output, and twice as both: 4/R.
    expect(compileCircuit(joined(3), { sampleRateHz: RATE_HZ }).rails).toHaveLength(0);
    expect(compileCircuit(joined(10), { sampleRateHz: RATE_HZ }).rails).toHaveLength(1);
  });

  it('rests at the voltage that the current into an op-amp’s input gives', () => {
    const circuit = biased(
      opamp('U1', ['bias', 'out', 'out', 'vcc', GROUND], { ...amplifier, inputBiasA: 1e-6 }),
      resistor('R3', 'in', 'out', 1e6),
    );
    // Over four time constants of 0.235 s. Half of 9 V, less 1 µA through 5 kΩ.
    const { output } = run(circuit, 48_000, new Float64Array(48_000));
    expect(compileCircuit(circuit, { sampleRateHz: 48_000 }).rails).toHaveLength(1);
    for (const volts of output) expect(volts).toBeCloseTo(4.5 - 0.005, 6);
  });

  it('loads a supply pin that is not a rail with the current from an op-amp’s output into its own input', () => {
    const circuit = network(
      [
        source('vcc', 9),
        source('vee', -9),
        resistor('R1', 'vcc', 'supply', 100e3),
        opamp('U1', ['in', 'out', 'out', 'supply', 'vee'], {
          ...amplifier,
          quiescentA: 1e-5,
          inputBiasA: 1e-6,
        }),
      ],
      { output: 'supply' },
    );
    // 9 V less 10 µA at rest and 1 µA of the inverting input through 100 kΩ.
    const { output } = run(circuit, 48_000, new Float64Array(480));
    for (const volts of output) expect(volts).toBeCloseTo(9 - 1 - 0.1, 6);
  });

  it.each<[string, Primitive[]]>([
    ['the input', [capacitor('C2', 'in', 'bias', 1e-6), resistor('R3', 'bias', 'out', 1e3)]],
    [
      "an op-amp's output",
      [
        opamp('U1', ['in', 'minus', 'out', 'vcc', GROUND], amplifier),
        resistor('R3', 'minus', 'out', 1e4),
        capacitor('C2', 'out', 'bias', 1e-6),
      ],
    ],
    [
      'the input through a second capacitor',
      [
        capacitor('C2', 'in', 'out', 1e-6),
        capacitor('C3', 'out', 'bias', 1e-6),
        resistor('R3', 'out', GROUND, 1e6),
      ],
    ],
  ])('does not run away where a capacitor joins it to %s', (_, parts) => {
    // No part amplifies: no voltage can be more than the input's 2 V above the supply's 9 V.
    expect(farthestV(biased(...parts))).toBeLessThan(11);
  });

  it('is stable where an op-amp at its limit joins it to a capacitor', () => {
    const circuit = network(
      [
        source('vcc', 9),
        resistor('R1', 'vcc', 'supply', 100),
        capacitor('C1', 'supply', GROUND, 47e-6),
        opamp('U1', ['in', 'minus', 'out', 'supply', GROUND], amplifier),
        resistor('R2', 'minus', 'out', 1e4),
        resistor('R3', 'minus', GROUND, 1e3),
        capacitor('C2', 'out', GROUND, 1e-6),
      ],
      { output: 'supply', rails: ['supply'] },
    );
    expect(farthestV(circuit)).toBeLessThan(9.1);
  });

  it('is stable where an op-amp at its limit drives a capacitor larger than the rail’s own', () => {
    const circuit = network(
      [
        source('vcc', 9),
        resistor('R1', 'vcc', 'supply', 7.5),
        capacitor('C1', 'supply', GROUND, 270e-6),
        opamp('U1', ['in', 'out', 'out', 'supply', GROUND], amplifier),
        capacitor('C2', 'out', GROUND, 620e-6),
      ],
      { output: 'supply', rails: ['supply'] },
    );
    // The amplifier has no current limit: 7 A on average, where 7.5 Ω allow 1.2 A. As a rail the net reached 2 MV.
    expect(farthestV(circuit)).toBeLessThan(9.1);
    const rateHz = 4 * RATE_HZ;
    const input = sine(0.02 * rateHz, rateHz, 3000, 2);
    const { output, simulator } = run(circuit, rateHz, input);
    // 2.13358 V is the result of the netlist solver of tests/reference, at a tolerance of 1e-8.
    expect(Math.min(...output)).toBeCloseTo(2.13358, 3);
    expect(simulator.failures).toBe(0);
    const taped = run(circuit, rateHz, input, { interpreted: true }).output;
    expect(differenceOf(output, taped)).toBeLessThan(1e-9);
  });

  it('still exists where an op-amp drives only a usual load', () => {
    const circuit = network(
      [
        source('vcc', 9),
        resistor('R1', 'vcc', 'supply', 100),
        capacitor('C1', 'supply', GROUND, 47e-6),
        opamp('U1', ['in', 'o', 'o', 'supply', GROUND], amplifier),
        // 10 µF alone would be 0.4 of the rail's own capacitor; 10 kΩ are in series with it.
        capacitor('C2', 'o', 'out', 1e-5),
        resistor('R2', 'out', GROUND, 1e4),
      ],
      { rails: ['supply'] },
    );
    expect(compileCircuit(circuit, { sampleRateHz: RATE_HZ }).rails).toHaveLength(1);
  });
});
