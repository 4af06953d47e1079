import { Downsampler, type OversamplingFactor, Upsampler } from '../../engine/audio/oversampler.ts';
import { parseBuildFile } from '../../engine/builds/build-file.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { CircuitSimulator } from '../../engine/solver/circuit-simulator.ts';
import { compileCircuit } from '../../engine/solver/compile.ts';

/** How one build ran at one rate. Runs in node and in a browser alike. */
export interface BuildTiming {
  readonly preset: string;
  readonly oversampling: OversamplingFactor;
  /** Solver alone, per oversampled sample. */
  readonly nsPerSample: number;
  /** Resampling included; how many times faster than real time one build is. */
  readonly timesRealTime: number;
  /** Newton iterations of all blocks, per oversampled sample. */
  readonly newtonIterations: number;
  /** Time of the slowest run of 128 frames over that of the median one. */
  readonly worstOverMedianBlock: number;
}

export const SAMPLE_RATE_HZ = 48_000;
export const BLOCK_FRAMES = 128;
/** The same input is played so often and each block's least time counts: what else runs here only ever adds. */
const PASSES = 3;

export interface TimingOptions {
  /** Input at the base rate, V; it is played from its start. */
  readonly inputV: readonly number[] | Float64Array;
  readonly now: () => number;
}

/** Times a preset over an input, block by block as the audio thread runs it. */
export function timeBuild(
  preset: string,
  buildFile: string,
  oversampling: OversamplingFactor,
  { inputV, now }: TimingOptions,
): BuildTiming {
  const sampleRateHz = SAMPLE_RATE_HZ * oversampling;
  const simulator = new CircuitSimulator(
    compileCircuit(networkOf(parseBuildFile(buildFile)), { sampleRateHz }),
  );
  const input = Float64Array.from(inputV);
  const blocks = Math.floor(input.length / BLOCK_FRAMES);
  const solverMs = new Float64Array(blocks).fill(Number.POSITIVE_INFINITY);
  const wholeMs = new Float64Array(blocks).fill(Number.POSITIVE_INFINITY);
  for (let pass = 0; pass < PASSES; pass++) {
    simulator.reset();
    timePass(simulator, oversampling, input, { solverMs, wholeMs, now });
  }
  const samples = PASSES * blocks * BLOCK_FRAMES * oversampling;
  return {
    preset,
    oversampling,
    nsPerSample: (1e6 * mean(solverMs)) / (BLOCK_FRAMES * oversampling),
    timesRealTime: (1000 * BLOCK_FRAMES) / SAMPLE_RATE_HZ / mean(wholeMs),
    newtonIterations: simulator.newtonIterations / samples,
    worstOverMedianBlock: Math.max(...solverMs) / median(solverMs),
  };
}

interface PassTimes {
  /** Least time of each block so far, ms; updated. */
  readonly solverMs: Float64Array;
  readonly wholeMs: Float64Array;
  readonly now: () => number;
}

function timePass(
  simulator: CircuitSimulator,
  factor: OversamplingFactor,
  input: Float64Array,
  { solverMs, wholeMs, now }: PassTimes,
): void {
  const quality = 'low-latency';
  const options = { factor, quality, sampleRateHz: SAMPLE_RATE_HZ, maxFrames: BLOCK_FRAMES } as const;
  const upsampler = new Upsampler(options);
  const downsampler = new Downsampler(options);
  const dense = new Float64Array(BLOCK_FRAMES * factor);
  const out = new Float64Array(BLOCK_FRAMES);
  for (let block = 0; block < solverMs.length; block++) {
    const start = now();
    upsampler.process(input.subarray(block * BLOCK_FRAMES), BLOCK_FRAMES, dense);
    const before = now();
    simulator.process(dense, dense, dense.length);
    const after = now();
    downsampler.process(dense, BLOCK_FRAMES, out);
    solverMs[block] = Math.min(solverMs[block]!, after - before);
    wholeMs[block] = Math.min(wholeMs[block]!, now() - start);
  }
}

function mean(values: Float64Array): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}

export function median(values: Float64Array | readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[sorted.length >> 1] ?? Number.NaN;
}
