import { describe, expect, it } from 'vitest';
import type { Build } from '../../engine/builds/build.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { presetNames } from '../../engine/cli/preset-files.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';

import { CircuitSimulator } from '../../engine/solver/circuit-simulator.ts';
import { type CompileOptions, compileCircuit } from '../../engine/solver/compile.ts';
import { PairedSimulators } from '../../engine/solver/paired-simulators.ts';
import { presetBuild } from '../preset-build.ts';
import { randomBuild } from '../random-builds/random-build.ts';
import { noise } from './audio-signals.ts';
import { sine } from './small-networks.ts';

const OPTIONS: CompileOptions = { sampleRateHz: 8 * 48_000, paired: true };
const LENGTH = 4000;
/** A chunk of the solver is 512 samples long. */
const BLOCK = 700;

const simulatorOf = (build: Build) =>
  new CircuitSimulator(compileCircuit(networkOf(build, NOMINAL_TEMPERATURE_K), OPTIONS));

/** The same build with every knob at another position. */
function turned(build: Build): Build {
  const knobs = Object.entries(build.knobs).map(([name, rotation]) => [name, 0.9 - 0.7 * rotation]);
  return { ...build, knobs: Object.fromEntries(knobs) };
}

function alone(simulator: CircuitSimulator, input: Float64Array, probed?: Float64Array): Float64Array {
  const output = new Float64Array(input.length);
  for (let start = 0; start < input.length; start += BLOCK) {
    const end = Math.min(start + BLOCK, input.length);
    simulator.process(
      input.subarray(start, end),
      output.subarray(start, end),
      end - start,
      probed?.subarray(start, end),
    );
  }
  return output;
}

function together(
  pair: PairedSimulators,
  inputs: readonly Float64Array[],
  probed: readonly (Float64Array | undefined)[] = [],
): Float64Array[] {
  const outputs = inputs.map(({ length }) => new Float64Array(length));
  for (let start = 0; start < inputs[0]!.length; start += BLOCK) {
    const end = Math.min(start + BLOCK, inputs[0]!.length);
    const [inputA, inputB, outputA, outputB, probedA, probedB] = [...inputs, ...outputs, ...probed].map(
      (array) => array?.subarray(start, end),
    );
    pair.process(inputA!, outputA!, probedA, inputB!, outputB!, probedB, end - start);
  }
  return outputs;
}

/** The two builds alone and as a pair. They give the same to the bit: the operations and their order are the same. */
function expectAlike(builds: readonly [Build, Build], inputs: readonly Float64Array[]): void {
  const [a, b] = builds.map(simulatorOf) as [CircuitSimulator, CircuitSimulator];
  const expected = [alone(a, inputs[0]!), alone(b, inputs[1]!)];
  const [pairedA, pairedB] = builds.map(simulatorOf) as [CircuitSimulator, CircuitSimulator];
  const pair = PairedSimulators.of(pairedA, pairedB);
  expect(pair).toBeDefined();
  expect(together(pair!, inputs)).toEqual(expected);
  expect([pairedA.newtonIterations, pairedB.newtonIterations]).toEqual([
    a.newtonIterations,
    b.newtonIterations,
  ]);
  expect([pairedA.failures, pairedB.failures]).toEqual([a.failures, b.failures]);
}

const music = sine(LENGTH, 440, OPTIONS.sampleRateHz, 0.3);
const hot = noise(LENGTH, 1).map((x) => 5 * x);
const silence = new Float64Array(LENGTH);

describe('two builds with the same structure, solved together', () => {
  it.each(presetNames())('play as each of them alone: %s', (name) => {
    const build = presetBuild(name);
    expectAlike([build, turned(build)], [music, music]);
  });

  it.each(presetNames())('do this where one clips in noise while the other is at rest: %s', (name) => {
    const build = presetBuild(name);
    expectAlike([turned(build), build], [silence, hot]);
  });

  it('do this with parts of all kinds: thirty random builds', () => {
    let count = 0;
    for (let seed = 1; count < 30; seed++) {
      const build = randomBuild(seed);
      let circuit: ReturnType<typeof compileCircuit>;
      try {
        circuit = compileCircuit(networkOf(build, NOMINAL_TEMPERATURE_K), OPTIONS);
      } catch {
        continue;
      }
      if (!circuit.pairModule) continue;
      count++;
      const [a, b] = [new CircuitSimulator(circuit), new CircuitSimulator(circuit)];
      const pair = PairedSimulators.of(new CircuitSimulator(circuit), new CircuitSimulator(circuit))!;
      const inputs = [music.subarray(0, 1500), hot.subarray(0, 1500)];
      expect(together(pair, inputs), `seed ${seed}`).toEqual([alone(a, inputs[0]!), alone(b, inputs[1]!)]);
    }
  });

  it('follow a knob of one while it glides, and a probe on either', () => {
    const build = presetBuild('soft-plain');
    const run = (play: (a: CircuitSimulator, b: CircuitSimulator) => Float64Array[]) => {
      const [a, b] = [simulatorOf(build), simulatorOf(turned(build))];
      b.setParameters(a.circuit.parameters, 0.005);
      const node = a.circuit.nodeNames.indexOf('clipped');
      expect(node).toBeGreaterThan(0);
      a.probe(node);
      b.probe(a.circuit.inputIndex);
      return play(a, b);
    };
    const separate = run((a, b) => {
      const probed = [new Float64Array(LENGTH), new Float64Array(LENGTH)];
      return [alone(a, music, probed[0]), alone(b, hot, probed[1]), ...probed];
    });
    const paired = run((a, b) => {
      const probed = [new Float64Array(LENGTH), new Float64Array(LENGTH)];
      return [...together(PairedSimulators.of(a, b)!, [music, hot], probed), ...probed];
    });
    expect(paired).toEqual(separate);
    expect(paired[3]).toEqual(hot);
  });

  it('continue correctly after one alone was played or reset', () => {
    const build = presetBuild('clean-plain');
    const run = (play: (a: CircuitSimulator, b: CircuitSimulator) => Float64Array[]) => {
      const [a, b] = [simulatorOf(build), simulatorOf(turned(build))];
      const first = play(a, b);
      alone(a, hot);
      b.reset();
      return [...first, ...play(a, b)];
    };
    const pairs = new Map<CircuitSimulator, PairedSimulators>();
    const paired = run((a, b) => {
      const pair = pairs.get(a) ?? PairedSimulators.of(a, b)!;
      pairs.set(a, pair);
      return together(pair, [music, hot]);
    });
    expect(paired).toEqual(run((a, b) => [alone(a, music), alone(b, hot)]));
  });

  it('each recover alone from samples that are not numbers, without any effect on the other', () => {
    const build = presetBuild('soft-plain');
    const broken = Float64Array.from(music, (x, n) => (n === 1000 ? Number.NaN : x));
    const [a, b] = [simulatorOf(build), simulatorOf(turned(build))];
    const [pairedA, pairedB] = [simulatorOf(build), simulatorOf(turned(build))];
    const outputs = together(PairedSimulators.of(pairedA, pairedB)!, [broken, music]);
    expect(outputs).toEqual([alone(a, broken), alone(b, music)]);
    expect([pairedA.resets, pairedB.resets]).toEqual([a.resets, 0]);
    expect(a.resets).toBeGreaterThan(0);
  });

  it('are not paired where structures or rates differ, or where no code was made for one', () => {
    const [plain, asymmetric] = [presetBuild('soft-plain'), presetBuild('soft-asymmetric')];
    expect(PairedSimulators.of(simulatorOf(plain), simulatorOf(asymmetric))).toBeUndefined();
    const at = (options: CompileOptions) =>
      new CircuitSimulator(compileCircuit(networkOf(plain, NOMINAL_TEMPERATURE_K), options));
    expect(PairedSimulators.of(at(OPTIONS), at({ ...OPTIONS, sampleRateHz: 192_000 }))).toBeUndefined();
    expect(PairedSimulators.of(at({ sampleRateHz: 96_000 }), at({ sampleRateHz: 96_000 }))).toBeUndefined();
  });
});
