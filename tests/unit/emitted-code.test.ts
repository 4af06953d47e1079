import { describe, expect, it } from 'vitest';
import { networkOfChain } from '../../engine/builds/chain.ts';
import { parseChainFile } from '../../engine/builds/chain-file.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { presetNames, presetText } from '../../engine/cli/preset-files.ts';
import { GROUND } from '../../engine/devices/node.ts';
import { NOMINAL_TEMPERATURE_K, thermalVoltage } from '../../engine/devices/physics.ts';
import { findOpamp, typesOf } from '../../engine/parts/catalogue.ts';
import { CircuitSimulator } from '../../engine/solver/circuit-simulator.ts';
import { compileCircuit } from '../../engine/solver/compile.ts';
import type { CompiledCircuit } from '../../engine/solver/compiled-circuit.ts';
import { emitCircuit } from '../../engine/solver/emit/emit-circuit.ts';
import { operatingPoint } from '../../engine/solver/operating-point.ts';
import { entangledBuild } from '../entangled-build.ts';
import { presetBuild } from '../preset-build.ts';
import { randomNetwork } from './random-network.ts';
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
  uniform,
} from './small-networks.ts';

const RATE_HZ = 8 * 48_000;
describe('the exponential of emitted code', () => {
  it('gives a junction the current of Math.expm1 within 2e-12 over its range', () => {
    // A diode without series resistance between the input and a 1 Ω resistor to ground: the voltage across the
    // resistor is the current, and the rest of the input is the diode's own voltage.
    const [saturationCurrentA, emissionCoefficient] = [1e-9, 1.5];
    const nVt = emissionCoefficient * thermalVoltage(300.15);
    const data = { saturationCurrentA, emissionCoefficient, seriesOhms: 0, zeroBiasCapacitanceF: 0 };
    const circuit = network([diode('D1', ['in', 'out'], data), resistor('R1', 'out', GROUND, 1)]);
    const length = 4000;
    // Half the volts of a step are within Newton's tolerance of 5e-5 V, whose linearised end is exact to
    // (5e-5/nVt)²/2 = 8e-7. After twelve samples with the same input there is no step, and the current is exact.
    const input = Float64Array.from({ length }, (_, n) => -0.5 + (1.5 * (n - (n % 40))) / length);
    const { output, simulator } = run(circuit, RATE_HZ, input);
    expect(simulator.failures).toBe(0);
    for (let n = 39; n < length; n += 40) {
      const volts = input[n]! - output[n]!;
      const expected = saturationCurrentA * Math.expm1(volts / nVt) + 1e-12 * volts;
      // The voltage is a difference of numbers near 1: a rounding of 2e-16, divided by nVt, is 6e-15 of the current.
      expect(Math.abs(output[n]! / expected - 1), `${input[n]} V`).toBeLessThan(2e-12);
    }
  });

  it('continues as its tangent above the argument 100, and is the exponential up to there', () => {
    // The saturation current is so small that a junction reaches this argument at one ampere.
    const [saturationCurrentA, emissionCoefficient] = [5e-44, 1];
    const nVt = thermalVoltage(300.15);
    const data = { saturationCurrentA, emissionCoefficient, seriesOhms: 0, zeroBiasCapacitanceF: 0 };
    const circuit = network([diode('D1', ['in', 'out'], data), resistor('R1', 'out', GROUND, 1)]);
    const length = 2000;
    const input = Float64Array.from({ length }, (_, n) => -1 + (8 * (n - (n % 40))) / length);
    const { output, simulator } = run(circuit, RATE_HZ, input);
    expect(simulator.failures).toBe(0);
    let [near, beyond] = [0, 0];
    for (let n = 39; n < length; n += 40) {
      const argument = (input[n]! - output[n]!) / nVt;
      if (argument > 80 && argument < 100) near++;
      if (argument > 100) beyond++;
      const exponential = argument < 100 ? Math.exp(argument) : Math.exp(100) * (argument - 99);
      const expected = saturationCurrentA * (exponential - 1) + 1e-12 * argument * nVt;
      // Differences of numbers below 8: a rounding of 1e-15, divided by nVt, is 4e-14 of the current.
      expect(Math.abs(output[n]! - expected), `${input[n]} V`).toBeLessThan(
        2e-12 * Math.abs(expected) + 1e-24,
      );
    }
    expect(near).toBeGreaterThan(5);
    expect(beyond).toBeGreaterThan(5);
  });
});

describe('a ladder of many sections', () => {
  it('passes its input in WebAssembly as in the interpreter', () => {
    // The last node depends on the input with 0.38 a section if all conductances are equal, and with 0.998 here.
    const count = 60;
    const node = (k: number) => (k === 0 ? 'in' : k === count ? 'out' : `n${k}`);
    const sections = Array.from({ length: count }, (_, k) => [
      resistor(`R${k}`, node(k), node(k + 1), 10),
      resistor(`S${k}`, node(k + 1), GROUND, 1e7),
    ]);
    const circuit = network([...sections.flat(), capacitor('C1', 'out', GROUND, 1e-12)]);
    const input = new Float64Array(50).fill(1);
    const [emitted, taped] = [false, true].map((slow) => run(circuit, RATE_HZ, input, { interpreted: slow }));
    expect(emitted!.output.at(-1)).toBeGreaterThan(0.99);
    expect(emitted!.output).toEqual(taped!.output);
  });
});

describe('a ring of five followers', () => {
  it('gives each follower half of the one before it, with the same number of steps in WebAssembly and in the interpreter', () => {
    // Each reads only its neighbour: in the elimination of five unknowns, entries appear where there were zeros.
    const data = { ...findOpamp('TL072').data, inputBiasA: 0 };
    const followers = [0, 1, 2, 3, 4].flatMap((k) => [
      resistor(`R${k}`, `v${(k + 4) % 5}`, `plus${k}`, 10e3),
      resistor(`S${k}`, `plus${k}`, k === 0 ? 'in' : GROUND, 10e3),
      opamp(`U${k}`, [`plus${k}`, `v${k}`, `v${k}`, 'vcc', 'vee'], data),
    ]);
    const circuit = network([source('vcc', 9), source('vee', -9), ...followers], { output: 'v4' });
    // Steps of 8 V, so that the followers slew.
    const input = Float64Array.from({ length: 800 }, (_, n) => (n % 400 < 200 ? 8 : 0));
    const [emitted, taped] = [false, true].map((slow) => run(circuit, RATE_HZ, input, { interpreted: slow }));
    // v0 = (in + v4)/2 and v4 = v0/16, so v4 = in/31; 1/A0 is 5e-6, for each of five.
    expect(emitted!.output[199]! / (8 / 31)).toBeCloseTo(1, 4);
    expect(emitted!.output).toEqual(taped!.output);
    expect(emitted!.simulator.newtonIterations).toBe(taped!.simulator.newtonIterations);
    expect(emitted!.simulator.circuit.blocks.map(({ devices }) => devices.length)).toEqual([5]);
  });
});

describe('networks drawn at random', () => {
  it('take as many of Newton’s iterations in WebAssembly as in the interpreter where the input jumps', () => {
    // Where a step is limited, and where it ends then, does not change the solution; it changes only the number of
    // iterations.
    const differing: number[] = [];
    for (let seed = 0; seed < 100; seed++) {
      const draw = uniform(seed);
      const levels = Array.from({ length: 40 }, () => 20 * (draw() - 0.5));
      const input = Float64Array.from({ length: 6 * levels.length }, (_, n) => levels[Math.floor(n / 6)]!);
      const [emitted, taped] = [false, true].map(
        (slow) => run(randomNetwork(seed), 48_000, input, { interpreted: slow }).simulator,
      );
      if (emitted!.newtonIterations !== taped!.newtonIterations) differing.push(seed);
    }
    expect(differing).toEqual([]);
  }, 120_000);

  it('run in WebAssembly as in the interpreter, and rest at their operating point', () => {
    const input = sine(400, RATE_HZ, 2000, 3);
    const differences: number[] = [];
    for (let seed = 0; seed < 250; seed++) {
      const circuit = randomNetwork(seed);
      const rest = operatingPoint(circuit).volts.get('out')!;
      const still = run(circuit, RATE_HZ, new Float64Array(400)).output;
      // Both are solved to within the linearised end of Newton's method.
      expect(peakOf(still.map((volts) => volts - rest)), `drift ${seed}`).toBeLessThan(5e-8);
      const emitted = run(circuit, RATE_HZ, input);
      const taped = run(circuit, RATE_HZ, input, { interpreted: true });
      differences.push(differenceOf(emitted.output, taped.output));
      expect([emitted.simulator.failures, taped.simulator.failures], `${seed}`).toEqual([0, 0]);
    }
    // The same expression tree, evaluated twice by IEEE arithmetic.
    expect(Math.max(...differences)).toBe(0);
  }, 120_000);
});

/** Functions of a circuit's module: entries of its section 3. @see WebAssembly Core Specification 2.0, 5.5.6 */
function functionsOf(circuit: CompiledCircuit): number {
  const { single } = emitCircuit(circuit, { isPaired: false })!;
  for (let at = 8; ; ) {
    const id = single[at++]!;
    let length = 0;
    for (let shift = 0; ; shift += 7) {
      const byte = single[at++]!;
      length |= (byte & 0x7f) << shift;
      if (byte < 0x80) break;
    }
    if (id === 3) return single[at]!;
    at += length;
  }
}

describe('presets', () => {
  it('are of one function each', () => {
    const circuit = networkOf(presetBuild('soft-plain'), NOMINAL_TEMPERATURE_K);
    expect(functionsOf(compileCircuit(circuit, { sampleRateHz: RATE_HZ, interpreted: true }))).toBe(1);
  });

  it.each(presetNames())('run in WebAssembly as in the interpreter: %s', (name) => {
    const circuit = networkOf(presetBuild(name), NOMINAL_TEMPERATURE_K);
    const input = sine(4000, RATE_HZ, 440, 0.7);
    const [emitted, taped] = [false, true].map((slow) => run(circuit, RATE_HZ, input, { interpreted: slow }));
    expect(emitted!.output).toEqual(taped!.output);
    expect(emitted!.simulator.newtonIterations).toBe(taped!.simulator.newtonIterations);
  });

  it('run so too where their code is divided into several functions, as that of a chain is, and recover from a fault', () => {
    const { chain } = parseChainFile(presetText('chain-midlift')!);
    const circuit = networkOfChain(chain, NOMINAL_TEMPERATURE_K);
    const { blocks } = compileCircuit(circuit, { sampleRateHz: RATE_HZ, interpreted: true });
    expect(
      functionsOf(compileCircuit(circuit, { sampleRateHz: RATE_HZ, interpreted: true })),
    ).toBeGreaterThan(1);
    expect(blocks.length).toBeGreaterThan(8);
    const input = sine(3000, RATE_HZ, 440, 0.7);
    input[2000] = Number.NaN;
    const [emitted, taped] = [false, true].map((slow) => run(circuit, RATE_HZ, input, { interpreted: slow }));
    expect(emitted!.output).toEqual(taped!.output);
    expect(emitted!.simulator.newtonIterations).toBe(taped!.simulator.newtonIterations);
    expect(emitted!.simulator.resets).toBe(taped!.simulator.resets);
    expect(taped!.simulator.resets).toBeGreaterThan(0);
  });

  it.each([
    ['class-B output stages', 'clean-plain', { U1: { type: 'LM358' }, U2: { type: 'LM358' } }],
    ['diodes between the inputs', 'clean-plain', { U1: { type: 'NE5532' }, U2: { type: 'LM308A' } }],
    [
      'piggybacks both ways',
      'soft-plain',
      { U1: { type: 'LM358' }, D1: { type: '1N4148', piggyback: 'BAT85' } },
    ],
    [
      'a string beside a diode',
      'soft-plain',
      { U1: { type: 'LM358' }, D2: { type: 'BAT85', count: 3, piggyback: '1N34A' } },
    ],
  ])('run so with diodes in parallel too: %s', (_, name, parts) => {
    const build = presetBuild(name);
    const circuit = networkOf({ ...build, parts: { ...build.parts, ...parts } }, NOMINAL_TEMPERATURE_K);
    // A diode's follower is solved with the voltage of its lead, so a block needs more than four ports here.
    const most = compileCircuit(circuit, { sampleRateHz: RATE_HZ }).blocks.reduce(
      (ports, { devices }) => Math.max(ports, devices.flatMap((device) => device.ports).length),
      0,
    );
    expect(most).toBeGreaterThan(4);
    const input = sine(4000, RATE_HZ, 440, 0.7);
    const [emitted, taped] = [false, true].map((slow) => run(circuit, RATE_HZ, input, { interpreted: slow }));
    expect(emitted!.simulator.failures).toBe(0);
    expect(emitted!.output).toEqual(taped!.output);
    expect(emitted!.simulator.newtonIterations).toBe(taped!.simulator.newtonIterations);
  });

  it('keep their operating point with any op-amp, whatever bias current its inputs take', () => {
    const build = presetBuild('clean-plain');
    for (const type of typesOf('opamp')) {
      const circuit = networkOf(
        { ...build, parts: { ...build.parts, U1: { type }, U2: { type } } },
        NOMINAL_TEMPERATURE_K,
      );
      const { simulator, output } = run(circuit, RATE_HZ, new Float64Array(RATE_HZ * 0.1));
      expect(peakOf(output), type).toBeLessThan(1e-9);
      for (const { node } of simulator.circuit.rails) {
        // A missing input current of 500 nA would move the bias of 5 kΩ by millivolts.
        expect(Math.abs(simulator.voltage(node) - simulator.circuit.restVolts[node]!), type).toBeLessThan(
          1e-8,
        );
      }
    }
  });
});

describe('numbers that are far too large', () => {
  const input = sine(40_000, RATE_HZ, 220, 0.2);

  it.each([Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, 1e300, -1e100, 1e30])(
    'at the input put a block at rest, are counted, and have no effect later: %d',
    (volts) => {
      const hit = input.slice();
      hit[5000] = volts;
      for (const name of ['soft-plain', 'soft-lifted', 'clean-plain']) {
        const iterations = [true, false].map((taped) => {
          const circuit = networkOf(presetBuild(name), NOMINAL_TEMPERATURE_K);
          const { simulator, output } = run(circuit, RATE_HZ, hit, { interpreted: taped });
          expect(simulator.resets, name).toBe(1);
          expect(output.every(Number.isFinite), name).toBe(true);
          expect(peakOf(output), name).toBeLessThan(1);
          const clean = run(circuit, RATE_HZ, input, { interpreted: taped }).output;
          // A twelfth of a second later the coupling capacitors still settle, by a hundredth of the signal.
          const end = peakOf(clean.subarray(35_000));
          expect(differenceOf(output.subarray(35_000), clean.subarray(35_000)), name).toBeLessThan(
            0.05 * end,
          );
          return simulator.newtonIterations;
        });
        // The sample is stopped at the block with the fault; the blocks before it are counted.
        expect(iterations[1], name).toBe(iterations[0]);
      }
    },
  );

  it.each([true, false])('in a state put its block at rest (in the interpreter: %s)', (taped) => {
    const circuit = networkOf(presetBuild('soft-plain'), NOMINAL_TEMPERATURE_K);
    const simulator = new CircuitSimulator(
      compileCircuit(circuit, { sampleRateHz: RATE_HZ, interpreted: taped }),
    );
    const output = new Float64Array(input.length);
    simulator.process(input, output, 20_000);
    for (const [index, block] of simulator.memory.blocks.entries()) {
      if (block.stateCount === 0) continue;
      const before = simulator.resets;
      block.stateHistory[0] = index % 2 === 0 ? Number.NaN : 1e200;
      simulator.process(input, output, 128);
      expect(simulator.resets - before, `block ${index}`).toBe(1);
      expect(output.subarray(0, 128).every(Number.isFinite), `block ${index}`).toBe(true);
    }
  });
});

describe('a circuit that is too large for WebAssembly', () => {
  it('runs in the interpreter: a block of more than fifty ports', () => {
    const circuit = compileCircuit(networkOf(entangledBuild(), NOMINAL_TEMPERATURE_K), {
      sampleRateHz: 192_000,
    });
    expect(circuit.module).toBeUndefined();
    const simulator = new CircuitSimulator(circuit);
    const input = Float64Array.from({ length: 32 }, (_, n) => 0.1 * Math.sin(n / 10));
    const output = new Float64Array(32);
    simulator.process(input, output, 32);
    expect(output.every(Number.isFinite)).toBe(true);
  });
});
