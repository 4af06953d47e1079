import { Downsampler, type OversamplingFactor, Upsampler } from '../../engine/audio/oversampler.ts';
import type { Build } from '../../engine/builds/build.ts';
import { parseBuildFile } from '../../engine/builds/build-file.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';

import type { Network } from '../../engine/network/network.ts';
import { CircuitSimulator } from '../../engine/solver/circuit-simulator.ts';
import { compileCircuit } from '../../engine/solver/compile.ts';
import { PairedSimulators } from '../../engine/solver/paired-simulators.ts';

/** The timing of one build at one rate. Runs in node and in a browser. */
export interface BuildTiming extends NetworkTiming {
  readonly preset: string;
  readonly oversampling: OversamplingFactor;
}

/** The timing of one network and its twin. */
export interface NetworkTiming {
  /**
   * Solver without resampling, for each build and oversampled sample, with two builds solved together as on the bench.
   */
  readonly nsPerSample: number;
  /** The same for one build alone, as in renders and beside a build with another structure. */
  readonly aloneNsPerSample: number;
  /** How many times faster than real time each of two builds solved together is, with resampling. */
  readonly timesRealTime: number;
  /** The same of one alone. */
  readonly aloneTimesRealTime: number;
  /** Newton iterations of all blocks for each oversampled sample. */
  readonly newtonIterations: number;
  /** Time of the slowest run of 128 frames divided by the median. */
  readonly worstOverMedianBlock: number;
}

export const SAMPLE_RATE_HZ = 48_000;
export const BLOCK_FRAMES = 128;
/**
 * The same input is played this many times, and each block's shortest time counts: other programs can only add time.
 */
const PASSES = 5;

export interface TimingOptions {
  /** Input at the base rate, V. */
  readonly inputV: readonly number[] | Float64Array;
  readonly now: () => number;
}

/**
 * Measures a preset over an input, block by block as the audio thread runs it: with a second build with other knobs,
 * and alone.
 */
export function timeBuild(
  preset: string,
  buildFile: string,
  oversampling: OversamplingFactor,
  { inputV, now }: TimingOptions,
): BuildTiming {
  const build = parseBuildFile(buildFile);
  const networks = [build, turnedBuild(build)].map((one) => networkOf(one, NOMINAL_TEMPERATURE_K));
  const timing = timeNetwork(networks[0]!, networks[1]!, oversampling, { inputV, now });
  return { preset, oversampling, ...timing };
}

/** Measures a network in the same way, with a twin; they are solved together if they have one structure. */
export function timeNetwork(
  network: Network,
  twin: Network,
  oversampling: OversamplingFactor,
  { inputV, now }: TimingOptions,
): NetworkTiming {
  const options = { sampleRateHz: SAMPLE_RATE_HZ * oversampling, paired: true };
  const simulatorOf = (one: Network) => new CircuitSimulator(compileCircuit(one, options));
  const [a, b, alone] = [simulatorOf(network), simulatorOf(twin), simulatorOf(network)];
  const pair = PairedSimulators.of(a, b);
  const input = Float64Array.from(inputV);
  const blocks = Math.floor(input.length / BLOCK_FRAMES);
  const times = () => new Float64Array(blocks).fill(Number.POSITIVE_INFINITY);
  const [solverMs, wholeMs, aloneMs, wholeAloneMs] = [times(), times(), times(), times()];
  const samples = BLOCK_FRAMES * oversampling;
  const ways = [new Resampling(oversampling), new Resampling(oversampling)] as const;
  for (let pass = 0; pass < PASSES; pass++) {
    for (const simulator of [a, b, alone]) simulator.reset();
    timePass(input, solverMs, wholeMs, now, {
      raise: (block) => {
        for (const way of ways) way.raise(block);
      },
      solve: () => {
        const [{ dense: denseA }, { dense: denseB }] = ways;
        if (pair) pair.process(denseA, denseA, undefined, denseB, denseB, undefined, samples);
        else {
          a.process(denseA, denseA, samples);
          b.process(denseB, denseB, samples);
        }
      },
      lower: () => {
        for (const way of ways) way.lower();
      },
    });
    const [way] = ways;
    timePass(input, aloneMs, wholeAloneMs, now, {
      raise: (block) => way.raise(block),
      solve: () => alone.process(way.dense, way.dense, samples),
      lower: () => way.lower(),
    });
  }
  return {
    nsPerSample: (1e6 * median(solverMs)) / 2 / samples,
    aloneNsPerSample: (1e6 * median(aloneMs)) / samples,
    timesRealTime: (1000 * BLOCK_FRAMES) / SAMPLE_RATE_HZ / (median(wholeMs) / 2),
    aloneTimesRealTime: (1000 * BLOCK_FRAMES) / SAMPLE_RATE_HZ / median(wholeAloneMs),
    newtonIterations: alone.newtonIterations / (PASSES * blocks * samples),
    worstOverMedianBlock: Math.max(...solverMs) / median(solverMs),
  };
}

/** The same build with every knob at another position: users compare such builds most of the time. */
export function turnedBuild(build: Build): Build {
  const knobs = Object.entries(build.knobs).map(([name, rotation]) => [name, 0.9 - 0.7 * rotation]);
  return { ...build, knobs: Object.fromEntries(knobs) };
}

/** The resampling of one build, up and down. */
class Resampling {
  readonly dense: Float64Array;
  readonly #up: Upsampler;
  readonly #down: Downsampler;
  readonly #out = new Float64Array(BLOCK_FRAMES);

  constructor(factor: OversamplingFactor) {
    const quality = 'low-latency';
    const options = { factor, quality, sampleRateHz: SAMPLE_RATE_HZ, maxFrames: BLOCK_FRAMES } as const;
    this.dense = new Float64Array(BLOCK_FRAMES * factor);
    this.#up = new Upsampler(options);
    this.#down = new Downsampler(options);
  }

  raise(block: Float64Array): void {
    this.#up.process(block, BLOCK_FRAMES, this.dense);
  }

  lower(): void {
    this.#down.process(this.dense, BLOCK_FRAMES, this.#out);
  }
}

/** The function that is called for a block of the input. */
interface Steps {
  readonly raise: (block: Float64Array) => void;
  readonly solve: () => void;
  readonly lower: () => void;
}

/** One pass over the input. @param solverMs Least time of each block so far, ms; updated, as is `wholeMs`. */
function timePass(
  input: Float64Array,
  solverMs: Float64Array,
  wholeMs: Float64Array,
  now: () => number,
  { raise, solve, lower }: Steps,
): void {
  for (let block = 0; block < solverMs.length; block++) {
    const start = now();
    raise(input.subarray(block * BLOCK_FRAMES));
    const before = now();
    solve();
    const after = now();
    lower();
    solverMs[block] = Math.min(solverMs[block]!, after - before);
    wholeMs[block] = Math.min(wholeMs[block]!, now() - start);
  }
}

export function median(values: Float64Array | readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[sorted.length >> 1] ?? Number.NaN;
}
