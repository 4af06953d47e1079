import { describe, expect, it } from 'vitest';
import { GROUND } from '../../engine/devices/node.ts';
import type { Network } from '../../engine/network/network.ts';
import { CircuitSimulator } from '../../engine/solver/circuit-simulator.ts';
import { compileCircuit } from '../../engine/solver/compile.ts';
import { emitCircuit } from '../../engine/solver/emit/emit-circuit.ts';
import { denseBlock, rowOfStages } from '../benchmark/growth-networks.ts';
import { hasNetlistSolver } from '../reference/netlist-solver.ts';
import { referenceAnswer, solverErrorDb } from '../reference/solver-trial.ts';
import { capacitor, differenceOf, network, peakOf, resistor, run, sine, source } from './small-networks.ts';

const RATE_HZ = 16 * 48_000;
const PLUCKED = { kind: 'plucked', place: 0, peakV: 1, seconds: 0.02 } as const;

function codeBytes(circuit: Network): number {
  const compiled = compileCircuit(circuit, { sampleRateHz: RATE_HZ });
  return emitCircuit(compiled, { isPaired: false })!.single.length;
}

describe('blocks that are solved by their node equations', () => {
  it.each([
    ['diode ladder', (size: number) => denseBlock('diode ladder', size)],
    ['row of clippers', (size: number) => rowOfStages('clippers', 2 * size).network],
    ['row of filters', (size: number) => rowOfStages('filters', 2 * size).network],
  ] as const)('take operations in proportion to the parts: %s', (_, circuitOf) => {
    // By ports and states, the code of these grew with the square of the parts and more: 2.9 to 4.2 times.
    expect(codeBytes(circuitOf(24)) / codeBytes(circuitOf(12))).toBeLessThan(2.3);
  });

  it.skipIf(!hasNetlistSolver()).each(['diode ladder', 'coupled transistors'] as const)(
    'agree with the netlist solver: twelve ports of a %s',
    (name) => {
      const circuit = denseBlock(name, 12);
      expect(compileCircuit(circuit, { sampleRateHz: RATE_HZ }).blocks.some(({ nodal }) => nodal)).toBe(true);
      const answer = referenceAnswer(circuit, PLUCKED);
      // The aim for the presets at 16x is -97 dB.
      expect(solverErrorDb(circuit, PLUCKED, 16, answer).errorDb).toBeLessThan(-97);
    },
  );

  it('give the probe the voltage of any net', () => {
    // Linear, so that it takes one step a sample: the probe shows the last step, others read a mean.
    const circuit = rowOfStages('filters', 40).network;
    const nets = ['in', 'n1', 'n7', 'n12', 'out'];
    const compiled = compileCircuit(circuit, { sampleRateHz: RATE_HZ, observed: nets });
    const simulator = new CircuitSimulator(compiled);
    const input = sine(600, RATE_HZ, 1000, 0.3);
    for (const net of nets) {
      const node = compiled.nodeNames.indexOf(net);
      simulator.probe(node);
      const probed = new Float64Array(input.length);
      simulator.process(input, new Float64Array(input.length), input.length, probed);
      // Both are the same number but for the input, which is read before and after its last sample.
      const last = net === 'in' ? input.at(-1)! : simulator.voltage(node);
      expect(Math.abs(probed.at(-1)! - last), net).toBeLessThan(1e-12);
    }
  });

  it('draw their current from a rail', () => {
    // The supply behind 1 kΩ and 100 µF, once solved with the block and once advanced as a rail, which is another formula.
    const supplied = (rails: readonly string[]) => {
      const { primitives } = denseBlock('coupled transistors', 12);
      const parts = primitives.map((part) => (part.kind === 'voltageSource' ? source('battery', 9) : part));
      return network(
        [...parts, resistor('R', 'battery', 'plus', 1e3), capacitor('C', 'plus', GROUND, 100e-6)],
        { rails },
      );
    };
    const input = sine(8000, RATE_HZ, 1000, 0.3);
    const [held, solved] = [['plus'], []].map((rails) => run(supplied(rails), RATE_HZ, input));
    expect(held!.simulator.circuit.rails.length).toBe(1);
    expect(held!.simulator.circuit.blocks.some(({ nodal }) => nodal)).toBe(true);
    expect(differenceOf(held!.output, solved!.output)).toBeLessThan(1e-5 * peakOf(solved!.output));
  });

  it('stay at rest while a capacitor changes, at each step of the glide', () => {
    const valued = (farads: number) => {
      const { primitives } = denseBlock('coupled transistors', 12);
      return network(primitives.map((part) => (part.kind === 'capacitor' ? { ...part, farads } : part)));
    };
    const [before, after] = [1e-6, 1e-7].map((farads) =>
      compileCircuit(valued(farads), { sampleRateHz: RATE_HZ }),
    );
    const simulator = new CircuitSimulator(before!);
    const silence = new Float64Array(0.02 * RATE_HZ);
    const output = new Float64Array(silence.length);
    simulator.setParameters(after!.parameters, 0.01);
    simulator.process(silence, output, silence.length);
    const rest = before!.restVolts[before!.outputIndex]!;
    // The operating point is solved to 1e-12 of the largest voltage, and the six stages amplify it tenfold.
    expect(peakOf(output.map((volts) => volts - rest))).toBeLessThan(1e-9);
  });
});
