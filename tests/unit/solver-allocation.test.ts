import { PerformanceObserver } from 'node:perf_hooks';
import { setTimeout } from 'node:timers/promises';
import { expect, it } from 'vitest';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { CircuitSimulator } from '../../engine/solver/circuit-simulator.ts';
import { circuitValues, compileCircuit } from '../../engine/solver/compile.ts';
import { presetBuild } from '../preset-build.ts';
import { sine } from './small-networks.ts';

const FRAMES = 128;
const BLOCKS = 20_000;
const OPTIONS = { sampleRateHz: 8 * 48_000 };
const input = sine(FRAMES, 48_000, 750, 0.3);
const output = new Float64Array(FRAMES);

/** Least number of garbage collections in three rounds after warming up: others may cause one by chance. */
async function collections(process: () => void): Promise<number> {
  let count = 0;
  const observer = new PerformanceObserver((list) => {
    count += list.getEntries().length;
  });
  observer.observe({ entryTypes: ['gc'] });
  let least = Number.POSITIVE_INFINITY;
  for (let block = 0; block < 2000; block++) process();
  for (let round = 0; round < 3 && least > 0; round++) {
    await setTimeout(20);
    count = 0;
    for (let block = 0; block < BLOCKS; block++) process();
    await setTimeout(20);
    least = Math.min(least, count);
  }
  observer.disconnect();
  return least;
}

function playing(): () => void {
  const simulator = new CircuitSimulator(compileCircuit(networkOf(presetBuild('soft-plain')), OPTIONS));
  return () => simulator.process(input, output, FRAMES);
}

/** Two knobs on their way to and fro all the time. */
function gliding(): () => void {
  const build = presetBuild('soft-plain');
  const simulator = new CircuitSimulator(compileCircuit(networkOf(build), OPTIONS));
  const [low, high] = [0.1, 0.9].map(
    (rotation) =>
      circuitValues(networkOf({ ...build, knobs: { gain: rotation, tone: rotation, output: 0.6 } }), OPTIONS)
        .parameters,
  );
  let block = 0;
  return () => {
    block = (block + 1) % 40;
    if (block === 0) simulator.setParameters(low!, 0.005);
    if (block === 20) simulator.setParameters(high!, 0.005);
    simulator.process(input, output, FRAMES);
  };
}

/** The probe on the move from net to net. */
function probing(): () => void {
  const simulator = new CircuitSimulator(compileCircuit(networkOf(presetBuild('soft-plain')), OPTIONS));
  const volts = new Float64Array(FRAMES);
  let block = 0;
  return () => {
    block = (block + 1) % simulator.circuit.nodeNames.length;
    simulator.probe(block);
    simulator.process(input, output, FRAMES, volts);
  };
}

/** A fault in every block, and the way back from it. */
function recovering(): () => void {
  const simulator = new CircuitSimulator(compileCircuit(networkOf(presetBuild('clean-plain')), OPTIONS));
  const broken = input.slice();
  broken[60] = Number.NaN;
  return () => simulator.process(broken, output, FRAMES);
}

it.each([
  ['while it plays', playing],
  ['while values glide', gliding],
  ['while it is probed', probing],
  ['while it recovers', recovering],
])(
  'a circuit causes no garbage collection %s',
  async (_, start) => {
    expect(await collections(start())).toBe(0);
    expect(output.every(Number.isFinite)).toBe(true);
  },
  30_000,
);
