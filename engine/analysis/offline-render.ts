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

export interface OfflineRender {
  /** Volts at the input's rate, as long as the input and in step with it. */
  readonly outputV: Float64Array;
  /** Samples in which the solver did not converge, and in which a block was put at rest. */
  readonly failures: number;
  readonly resets: number;
  readonly newtonIterations: number;
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
  const { factor, sampleRateHz } = options;
  const simulator = new CircuitSimulator(compileCircuit(network, { sampleRateHz: sampleRateHz * factor }));
  const upsampler = new Upsampler({ ...options, maxFrames: BLOCK_FRAMES });
  const downsampler = new Downsampler({ ...options, maxFrames: BLOCK_FRAMES });
  const latency = Math.round(oversamplingLatencySamples(options));
  const delayed = new Float64Array(inputV.length + latency);
  const block = new Float64Array(BLOCK_FRAMES);
  const dense = new Float64Array(BLOCK_FRAMES * factor);
  for (let start = 0; start < delayed.length; start += BLOCK_FRAMES) {
    const frames = Math.min(BLOCK_FRAMES, delayed.length - start);
    block.fill(0);
    block.set(inputV.subarray(start, Math.min(start + frames, inputV.length)));
    upsampler.process(block, frames, dense);
    simulator.process(dense, dense, frames * factor);
    downsampler.process(dense, frames, block);
    delayed.set(block.subarray(0, frames), start);
    options.onProgress?.(Math.min(1, (start + frames) / delayed.length));
  }
  const { failures, resets, newtonIterations } = simulator;
  return { outputV: delayed.subarray(latency), failures, resets, newtonIterations };
}
