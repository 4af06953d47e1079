import { networkOf } from '../../engine/builds/network-of-build.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';

import { CircuitSimulator } from '../../engine/solver/circuit-simulator.ts';
import { circuitValues, compileCircuit } from '../../engine/solver/compile.ts';
import { presetBuild } from '../preset-build.ts';
import { oversampled } from './recording-input.ts';
import { BLOCK_FRAMES, median, SAMPLE_RATE_HZ } from './solver-benchmark.ts';

/** How evenly a build runs in one situation. */
export interface RunningCost {
  readonly preset: string;
  readonly oversampling: 8 | 16;
  readonly situation: Situation;
  /** Newton iterations of a run of 128 frames: the median, and the largest divided by the median. */
  readonly medianIterations: number;
  readonly worstOverMedian: number;
  /** The slowest run of 128 frames, as a fraction of the available time. */
  readonly worstShareOfDeadline: number;
}

export type Situation = 'silence' | 'recording' | 'knobs turning' | 'white noise';
const SITUATIONS: readonly Situation[] = ['silence', 'recording', 'knobs turning', 'white noise'];
/** The shortest time of this many passes, as in solver-benchmark.ts. */
const PASSES = 3;
const GLIDE_SECONDS = 0.01;
/** A turning knob sends a new value after this many blocks. */
const TURN_BLOCKS = 8;
const FULL_SCALE_V = 1;

/** Iterations and time of a build, block by block, in each situation. */
export function runningCosts(preset: string, recordingV: Float64Array): RunningCost[] {
  return SITUATIONS.map((situation) => {
    const oversampling = situation === 'white noise' ? 8 : 16;
    return runningCost(preset, oversampling, situation, inputOf(situation, recordingV));
  });
}

function inputOf(situation: Situation, recordingV: Float64Array): Float64Array {
  if (situation === 'silence') return new Float64Array(recordingV.length);
  if (situation !== 'white noise') return recordingV;
  const draw = uniform();
  return Float64Array.from(recordingV, () => FULL_SCALE_V * (2 * draw() - 1));
}

function runningCost(
  preset: string,
  oversampling: 8 | 16,
  situation: Situation,
  inputV: Float64Array,
): RunningCost {
  const build = presetBuild(preset);
  const options = { sampleRateHz: SAMPLE_RATE_HZ * oversampling };
  const simulator = new CircuitSimulator(compileCircuit(networkOf(build, NOMINAL_TEMPERATURE_K), options));
  const positions = [0.1, 0.9].map((rotation) => {
    const knobs = Object.fromEntries(Object.keys(build.knobs).map((name) => [name, rotation]));
    return circuitValues(networkOf({ ...build, knobs }, NOMINAL_TEMPERATURE_K), options).parameters;
  });
  const dense = oversampled(inputV, oversampling);
  const frames = BLOCK_FRAMES * oversampling;
  const blocks = Math.floor(dense.length / frames);
  const output = new Float64Array(frames);
  const iterations = new Float64Array(blocks);
  const times = new Float64Array(blocks).fill(Number.POSITIVE_INFINITY);
  for (let pass = 0; pass < PASSES; pass++) {
    simulator.setParameters(simulator.circuit.parameters, 0);
    simulator.reset();
    for (let block = 0; block < blocks; block++) {
      if (situation === 'knobs turning' && block % TURN_BLOCKS === 0) {
        simulator.setParameters(positions[(block / TURN_BLOCKS) % 2]!, GLIDE_SECONDS);
      }
      const before = simulator.newtonIterations;
      const start = performance.now();
      simulator.process(dense.subarray(block * frames), output, frames);
      times[block] = Math.min(times[block]!, performance.now() - start);
      iterations[block] = simulator.newtonIterations - before;
    }
  }
  const medianIterations = median(iterations);
  return {
    preset,
    oversampling,
    situation,
    medianIterations,
    worstOverMedian: Math.max(...iterations) / medianIterations,
    worstShareOfDeadline: Math.max(...times) / ((1000 * BLOCK_FRAMES) / SAMPLE_RATE_HZ),
  };
}

/**
 * The time that a turning knob adds to 128 frames at 16x, as a fraction of their time; for the slowest knob of a build.
 */
export function turningShare(preset: string): { readonly knob: string; readonly share: number } {
  const build = presetBuild(preset);
  const options = { sampleRateHz: SAMPLE_RATE_HZ * 16 };
  const simulator = new CircuitSimulator(compileCircuit(networkOf(build, NOMINAL_TEMPERATURE_K), options));
  const shares = Object.keys(build.knobs).map((knob) => {
    const ends = [0.45, 0.55].map(
      (rotation) =>
        circuitValues(
          networkOf({ ...build, knobs: { ...build.knobs, [knob]: rotation } }, NOMINAL_TEMPERATURE_K),
          options,
        ).parameters,
    );
    return { knob, share: turningOverStill(simulator, ends) - 1 };
  });
  return shares.reduce((most, other) => (other.share > most.share ? other : most));
}

const TURNING_BLOCKS = 200;

/** The knob moves all the time, or does not move; the two alternate, so that neither gets the busier machine. */
function turningOverStill(simulator: CircuitSimulator, ends: readonly Float64Array[]): number {
  const silence = new Float64Array(BLOCK_FRAMES * 16);
  const output = new Float64Array(silence.length);
  const turning: number[] = [];
  const still: number[] = [];
  const run = () => {
    const start = performance.now();
    simulator.process(silence, output, silence.length);
    return performance.now() - start;
  };
  for (let block = 0; block < TURNING_BLOCKS; block++) {
    simulator.setParameters(ends[block % 2]!, GLIDE_SECONDS);
    turning.push(run());
    simulator.setParameters(ends[block % 2]!, 0);
    run();
    still.push(run());
  }
  return median(turning) / median(still);
}

/** Numbers between 0 and 1, the same in every run (Lehmer's generator). */
function uniform(): () => number {
  let state = 1;
  return () => {
    state = (state * 48271) % 2147483647;
    return state / 2147483647;
  };
}
