import { expect, it } from 'vitest';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';

import { CircuitSimulator } from '../../engine/solver/circuit-simulator.ts';
import { circuitValues, compileCircuit } from '../../engine/solver/compile.ts';
import { PairedSimulators } from '../../engine/solver/paired-simulators.ts';
import { presetBuild } from '../preset-build.ts';
import { expectNoGarbage, garbageOf } from './garbage.ts';
import { sine } from './small-networks.ts';

/** Short blocks: an allocation for each block shows in 50,000 of them, whatever their length. */
const FRAMES = 16;
const OPTIONS = { sampleRateHz: 8 * 48_000 };
const input = sine(FRAMES, 48_000, 750, 0.3);
const output = new Float64Array(FRAMES);

function playing(): () => void {
  const simulator = new CircuitSimulator(
    compileCircuit(networkOf(presetBuild('soft-plain'), NOMINAL_TEMPERATURE_K), OPTIONS),
  );
  return () => simulator.process(input, output, FRAMES);
}

/** Two knobs that move back and forth all the time. */
function gliding(): () => void {
  const build = presetBuild('soft-plain');
  const simulator = new CircuitSimulator(compileCircuit(networkOf(build, NOMINAL_TEMPERATURE_K), OPTIONS));
  const [low, high] = [0.1, 0.9].map(
    (rotation) =>
      circuitValues(
        networkOf(
          { ...build, knobs: { gain: rotation, tone: rotation, output: 0.6 } },
          NOMINAL_TEMPERATURE_K,
        ),
        OPTIONS,
      ).parameters,
  );
  let block = 0;
  return () => {
    block = (block + 1) % 40;
    if (block === 0) simulator.setParameters(low!, 0.005);
    if (block === 20) simulator.setParameters(high!, 0.005);
    simulator.process(input, output, FRAMES);
  };
}

/** The probe moves from net to net. */
function probing(): () => void {
  const simulator = new CircuitSimulator(
    compileCircuit(networkOf(presetBuild('soft-plain'), NOMINAL_TEMPERATURE_K), OPTIONS),
  );
  const volts = new Float64Array(FRAMES);
  let block = 0;
  return () => {
    block = (block + 1) % simulator.circuit.nodeNames.length;
    simulator.probe(block);
    simulator.process(input, output, FRAMES, volts);
  };
}

/** Two circuits solved together, one of them gliding. */
function pairing(): () => void {
  const circuit = compileCircuit(networkOf(presetBuild('soft-plain'), NOMINAL_TEMPERATURE_K), {
    ...OPTIONS,
    paired: true,
  });
  const [a, b] = [new CircuitSimulator(circuit), new CircuitSimulator(circuit)];
  const pair = PairedSimulators.of(a, b)!;
  const other = new Float64Array(FRAMES);
  let block = 0;
  return () => {
    block = (block + 1) % 40;
    if (block === 0) b.setParameters(circuit.parameters, 0.005);
    pair.process(input, other, undefined, input, output, undefined, FRAMES);
  };
}

/** LEDs whose charge is computed anew again and again, since their capacitance glides. */
function charging(): () => void {
  const build = presetBuild('soft-led');
  const [low, high] = (['low', 'high'] as const).map((capacitance) =>
    networkOf(
      { ...build, parts: { ...build.parts, D1: { type: 'LED-red', capacitance } } },
      NOMINAL_TEMPERATURE_K,
    ),
  );
  const simulator = new CircuitSimulator(compileCircuit(low!, OPTIONS));
  const ends = [low!, high!].map((network) => circuitValues(network, OPTIONS).parameters);
  let block = 0;
  return () => {
    block = (block + 1) % 40;
    if (block % 20 === 0) simulator.setParameters(ends[block / 20]!, 0.005);
    simulator.process(input, output, FRAMES);
  };
}

/** A fault in every block, and the recovery from it. */
function recovering(preset: string): () => void {
  const simulator = new CircuitSimulator(
    compileCircuit(networkOf(presetBuild(preset), NOMINAL_TEMPERATURE_K), OPTIONS),
  );
  const broken = input.slice();
  broken[6] = Number.NaN;
  return () => simulator.process(broken, output, FRAMES);
}

it.each([
  ['while it plays', playing],
  ['while values glide', gliding],
  ['while it is probed', probing],
  ['beside another', pairing],
  ['while the charge of LEDs glides', charging],
  ['while it recovers', () => recovering('clean-plain')],
  ['while LEDs recover', () => recovering('soft-led')],
])(
  'a circuit causes no garbage collection %s',
  async (_, start) => {
    expectNoGarbage(await garbageOf(start()));
    expect(output.every(Number.isFinite)).toBe(true);
  },
  120_000,
);
