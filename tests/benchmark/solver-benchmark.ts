import { Downsampler, type OversamplingFactor, Upsampler } from '../../engine/audio/oversampler.ts';
import { pluckedPhrase } from '../../engine/audio/plucked-string.ts';
import { parseBuildFile } from '../../engine/builds/build-file.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { CircuitSimulator } from '../../engine/solver/circuit-simulator.ts';
import { compileCircuit } from '../../engine/solver/compile.ts';

/** How one build ran at one rate. Runs in node and in a browser alike. */
export interface BuildTiming {
  readonly preset: string;
  readonly oversampling: OversamplingFactor;
  /** Median over blocks, solver alone, per oversampled sample. */
  readonly nsPerSample: number;
  /** Resampling included; how many times faster than real time one build is. */
  readonly timesRealTime: number;
  /** Newton iterations of all blocks, per oversampled sample. */
  readonly newtonIterations: number;
  /** The slowest block of the median of several runs over the median block. */
  readonly worstOverMedianBlock: number;
  /** The same build in plain loops, ns per oversampled sample. */
  readonly interpreterNsPerSample: number;
  /** Time of a block of 128 frames in which every value of the build glides, over the time of one in which none does. */
  readonly glidingOverStill: number;
}

const SAMPLE_RATE_HZ = 48_000;
const BLOCK_FRAMES = 128;
const WARM_UP_BLOCKS = 100;
/** Blocks timed together, so that a clock of coarse steps will do. */
const GROUP_BLOCKS = 10;

export interface TimingOptions {
  readonly seconds: number;
  readonly now: () => number;
}

/** Times a preset over a plucked phrase. */
export function timeBuild(
  preset: string,
  buildFile: string,
  oversampling: OversamplingFactor,
  { seconds, now }: TimingOptions,
): BuildTiming {
  const network = networkOf(parseBuildFile(buildFile));
  const sampleRateHz = SAMPLE_RATE_HZ * oversampling;
  const emitted = new CircuitSimulator(compileCircuit(network, { sampleRateHz }));
  const interpreted = new CircuitSimulator(compileCircuit(network, { sampleRateHz, interpreted: true }));
  const fast = timeBlocks(emitted, oversampling, seconds, now);
  const slow = timeBlocks(interpreted, oversampling, seconds / 4, now);
  return {
    preset,
    oversampling,
    nsPerSample: (1e6 * median(fast.solver)) / (BLOCK_FRAMES * oversampling),
    timesRealTime: (1000 * BLOCK_FRAMES) / SAMPLE_RATE_HZ / median(fast.whole),
    newtonIterations: fast.iterationsPerSample,
    worstOverMedianBlock: Math.max(...fast.solver) / median(fast.solver),
    interpreterNsPerSample: (1e6 * median(slow.solver)) / (BLOCK_FRAMES * oversampling),
    glidingOverStill: glidingOverStill(emitted, oversampling, now),
  };
}

/** Every number of the build glides to and fro by a tenth of a percent. */
function glidingOverStill(simulator: CircuitSimulator, factor: number, now: () => number): number {
  const { parameters } = simulator.circuit;
  const moved = parameters.map((value) => value * 1.001);
  const dense = new Float64Array(BLOCK_FRAMES * factor);
  const run = (target: Float64Array | undefined): number => {
    const start = now();
    for (let block = 0; block < GROUP_BLOCKS; block++) {
      if (target) simulator.setParameters(block % 2 === 0 ? target : parameters, 0.1);
      simulator.process(dense, dense, dense.length);
    }
    return now() - start;
  };
  const still: number[] = [];
  const gliding: number[] = [];
  for (let group = 0; group < 40; group++) {
    gliding.push(run(moved));
    simulator.setParameters(parameters, 0);
    still.push(run(undefined));
  }
  return median(gliding) / median(still);
}

interface BlockTimes {
  /** Milliseconds a block, averaged over groups of blocks. */
  readonly solver: number[];
  readonly whole: number[];
  readonly iterationsPerSample: number;
}

function timeBlocks(
  simulator: CircuitSimulator,
  factor: OversamplingFactor,
  seconds: number,
  now: () => number,
): BlockTimes {
  const options = {
    factor,
    quality: 'low-latency',
    sampleRateHz: SAMPLE_RATE_HZ,
    maxFrames: BLOCK_FRAMES,
  } as const;
  const upsampler = new Upsampler(options);
  const downsampler = new Downsampler(options);
  const phrase = Float64Array.from(pluckedPhrase({ sampleRateHz: SAMPLE_RATE_HZ, peakVolts: 0.3, seed: 1 }));
  const dense = new Float64Array(BLOCK_FRAMES * factor);
  const out = new Float64Array(BLOCK_FRAMES);
  const solver: number[] = [];
  const whole: number[] = [];
  const groups = Math.ceil((seconds * SAMPLE_RATE_HZ) / (BLOCK_FRAMES * GROUP_BLOCKS));
  let at = 0;
  const runBlock = (): number => {
    upsampler.process(phrase.subarray(at, at + BLOCK_FRAMES), BLOCK_FRAMES, dense);
    const before = now();
    simulator.process(dense, dense, dense.length);
    const spent = now() - before;
    downsampler.process(dense, BLOCK_FRAMES, out);
    at = at + 2 * BLOCK_FRAMES > phrase.length ? 0 : at + BLOCK_FRAMES;
    return spent;
  };
  for (let block = 0; block < WARM_UP_BLOCKS; block++) runBlock();
  const iterationsBefore = simulator.newtonIterations;
  for (let group = 0; group < groups; group++) {
    const start = now();
    let inSolver = 0;
    for (let block = 0; block < GROUP_BLOCKS; block++) inSolver += runBlock();
    whole.push((now() - start) / GROUP_BLOCKS);
    solver.push(inSolver / GROUP_BLOCKS);
  }
  const samples = groups * GROUP_BLOCKS * dense.length;
  return { solver, whole, iterationsPerSample: (simulator.newtonIterations - iterationsBefore) / samples };
}

function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[sorted.length >> 1] ?? Number.NaN;
}
