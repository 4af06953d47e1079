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
 * Oversampling of a render that nobody waits for: the solver's error is then below −110 dB, what the filters
 * around it let through below −100 dB.
 */
export const OFFLINE_OVERSAMPLING: OversamplingFactor = 32;

export interface OfflineRenderOptions extends OversamplingOptions {
  /** Called now and then with the share that is done, 0 to 1. */
  readonly onProgress?: (share: number) => void;
}

/** What the solver did over a recording. */
export interface RenderCounts {
  /** Samples in which the solver did not converge, and in which a block was put at rest. */
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
 * A network over a whole recording, from rest. The delay of the resampling filters is taken out, to the whole
 * sample; with linear-phase filters nothing is left of it.
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
 * A network over a recording that comes in pieces and leaves in pieces, so that its length takes no memory. The
 * samples are those of the whole, to the bit, wherever it is cut: the circuit is always played in the same blocks.
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
   * The whole recording, from rest; to be called once.
   *
   * @param inputV Volts, in pieces of any length. @returns Volts in pieces of at most 128 samples, in all as many as
   * came in; each is overwritten by the next.
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

  /** Plays what the block holds, and gives what of it is no longer the filters' delay. */
  *#played(frames: number): Generator<Float64Array> {
    this.#upsampler.process(this.#block, frames, this.#dense);
    this.#simulator.process(this.#dense, this.#dense, frames * this.#factor);
    this.#downsampler.process(this.#dense, frames, this.#block);
    const late = Math.min(frames, this.#late);
    this.#late -= late;
    if (late < frames) yield this.#block.subarray(late, frames);
  }
}

/** What is still in the filters at the end comes out behind silence. */
function* followedBySilence(pieces: Iterable<Float64Array>, frames: number): Generator<Float64Array> {
  yield* pieces;
  yield new Float64Array(frames);
}
