import {
  Downsampler,
  type OversamplingFactor,
  type OversamplingOptions,
  oversamplingLatencySamples,
  Upsampler,
} from '../audio/oversampler.ts';
import type { Network } from '../network/network.ts';
import { CircuitSimulator } from '../solver/circuit-simulator.ts';
import { compileCircuit } from '../solver/compile.ts';

/**
 * Oversampling of offline renders: for the presets the solver's error is then below −110 dB. The aliases of the
 * resampling filters are below −100 dB.
 */
export const OFFLINE_OVERSAMPLING: OversamplingFactor = 32;

export interface OfflineRenderOptions extends OversamplingOptions {
  /** Called from time to time with the finished share, 0 to 1. */
  readonly onProgress?: (share: number) => void;
}

/** Counts of the solver over a recording. */
export interface RenderCounts {
  /** Samples in which the solver did not converge, and in which a block was reset. */
  readonly failures: number;
  readonly resets: number;
  readonly newtonIterations: number;
}

export interface OfflineRender extends RenderCounts {
  /** Volts at the input's rate, as long as the input and in step with it. */
  readonly outputV: Float64Array;
}

const BLOCK_FRAMES = 128;

/**
 * Plays a whole recording through a network, from its operating point. The delay of the resampling filters is
 * removed to the whole sample; with linear-phase filters completely.
 *
 * @param inputV Volts at `sampleRateHz`. @throws NetworkError, OperatingPointError.
 */
export function renderOffline(
  network: Network,
  inputV: Float64Array,
  options: OfflineRenderOptions,
): OfflineRender {
  const render = new PiecewiseRender(network, options);
  const outputV = new Float64Array(inputV.length);
  let done = 0;
  for (const piece of render.over([inputV])) {
    outputV.set(piece, done);
    done += piece.length;
    options.onProgress?.(done / inputV.length);
  }
  const { failures, resets, newtonIterations } = render;
  return { outputV, failures, resets, newtonIterations };
}

/**
 * Plays a recording through a network piece by piece, so that its length needs no memory. The result equals
 * that of the whole to the bit, wherever it is cut: the circuit always plays the same blocks.
 */
export class PiecewiseRender {
  readonly #simulator: CircuitSimulator;
  readonly #upsampler: Upsampler;
  readonly #downsampler: Downsampler;
  readonly #factor: number;
  readonly #latency: number;
  /** Samples of that delay that are still to come. */
  #late = 0;
  readonly #block = new Float64Array(BLOCK_FRAMES);
  readonly #dense: Float64Array;

  /** @throws NetworkError, OperatingPointError. */
  constructor(network: Network, options: OversamplingOptions) {
    const { factor, sampleRateHz } = options;
    this.#simulator = new CircuitSimulator(compileCircuit(network, { sampleRateHz: sampleRateHz * factor }));
    this.#upsampler = new Upsampler({ ...options, maxFrames: BLOCK_FRAMES });
    this.#downsampler = new Downsampler({ ...options, maxFrames: BLOCK_FRAMES });
    this.#factor = factor;
    this.#latency = Math.round(oversamplingLatencySamples(options));
    this.#dense = new Float64Array(BLOCK_FRAMES * factor);
  }

  get failures(): number {
    return this.#simulator.failures;
  }

  get resets(): number {
    return this.#simulator.resets;
  }

  get newtonIterations(): number {
    return this.#simulator.newtonIterations;
  }

  /**
   * Plays the whole recording; to be called once.
   *
   * @param inputV Volts, in pieces of any length. @returns Volts in pieces of at most 128 samples, in total as
   * many as the input; each is overwritten by the next.
   */
  *over(inputV: Iterable<Float64Array>): Generator<Float64Array> {
    const block = this.#block;
    let filled = 0;
    this.#late = this.#latency;
    for (const piece of followedBySilence(inputV, this.#latency)) {
      for (let at = 0; at < piece.length; ) {
        const count = Math.min(BLOCK_FRAMES - filled, piece.length - at);
        block.set(piece.subarray(at, at + count), filled);
        filled += count;
        at += count;
        if (filled < BLOCK_FRAMES) continue;
        yield* this.#played(BLOCK_FRAMES);
        filled = 0;
      }
    }
    if (filled > 0) yield* this.#played(filled);
  }

  /** Plays the block, and gives the samples after the filters' delay. */
  *#played(frames: number): Generator<Float64Array> {
    this.#upsampler.process(this.#block, frames, this.#dense);
    this.#simulator.process(this.#dense, this.#dense, frames * this.#factor);
    this.#downsampler.process(this.#dense, frames, this.#block);
    const late = Math.min(frames, this.#late);
    this.#late -= late;
    if (late < frames) yield this.#block.subarray(late, frames);
  }
}

/** Feeds silence, so that the samples still in the filters come out. */
function* followedBySilence(pieces: Iterable<Float64Array>, frames: number): Generator<Float64Array> {
  yield* pieces;
  yield new Float64Array(frames);
}
