import {
  Downsampler,
  OVERSAMPLING_FACTORS,
  type OversamplingFactor,
  type ResamplingQuality,
  Upsampler,
} from '../engine/audio/oversampler.ts';
import { CircuitSimulator } from '../engine/solver/circuit-simulator.ts';
import type { CompiledCircuit } from '../engine/solver/compiled-circuit.ts';
import type { PairedSimulators } from '../engine/solver/paired-simulators.ts';

/** Options shared by all circuits of the bench. */
export interface RunnerOptions {
  /** The base rate, Hz. */
  readonly sampleRateHz: number;
  readonly quality: ResamplingQuality;
  /** Longest block, samples of the base rate. */
  readonly maxFrames: number;
}

/**
 * A circuit with its own resampling up to its rate and back to the base rate: two of different rates can run
 * side by side while one fades into the other.
 */
export class CircuitRunner {
  readonly simulator: CircuitSimulator;
  readonly factor: OversamplingFactor;
  /** Voltage of the probed net at the circuit's rate, once `run` was asked for it. */
  readonly denseProbe: Float64Array;
  readonly #upsampler: Upsampler;
  readonly #downsampler: Downsampler;
  readonly #probeDownsampler: Downsampler;
  /** Input and output of the simulator. */
  readonly #denseInput: Float64Array;
  readonly #denseOutput: Float64Array;

  /** Allocates. @throws RangeError for a circuit whose rate is not a usual multiple of the base rate. */
  constructor(circuit: CompiledCircuit, options: RunnerOptions) {
    this.factor = factorOf(circuit.sampleRateHz, options.sampleRateHz);
    const oversampling = { ...options, factor: this.factor };
    const length = options.maxFrames * this.factor;
    this.simulator = new CircuitSimulator(circuit);
    this.#upsampler = new Upsampler(oversampling);
    this.#downsampler = new Downsampler(oversampling);
    this.#probeDownsampler = new Downsampler(oversampling);
    this.#denseInput = new Float64Array(length);
    this.#denseOutput = new Float64Array(length);
    this.denseProbe = new Float64Array(length);
  }

  /** Sets the probe to a net by its name; to none if the circuit does not have it. */
  probe(net: string | null | undefined): void {
    this.#probeDownsampler.reset();
    this.simulator.probe(typeof net === 'string' ? this.simulator.circuit.nodeNames.indexOf(net) : -1);
  }

  /** Solves a block of volts at the base rate, for `lower`. Real-time safe. @param isProbed Whether `denseProbe` is wanted. */
  solve(volts: Float64Array, frames: number, isProbed: boolean): void {
    this.#upsampler.process(volts, frames, this.#denseInput);
    const probed = isProbed ? this.denseProbe : undefined;
    this.simulator.process(this.#denseInput, this.#denseOutput, frames * this.factor, probed);
  }

  /**
   * The same of two runners' circuits in step. Real-time safe.
   *
   * @param pair Of the runners' simulators, in this order.
   */
  static solveTogether(
    pair: PairedSimulators,
    a: CircuitRunner,
    voltsA: Float64Array,
    isProbedA: boolean,
    b: CircuitRunner,
    voltsB: Float64Array,
    isProbedB: boolean,
    frames: number,
  ): void {
    a.#upsampler.process(voltsA, frames, a.#denseInput);
    b.#upsampler.process(voltsB, frames, b.#denseInput);
    pair.process(
      a.#denseInput,
      a.#denseOutput,
      isProbedA ? a.denseProbe : undefined,
      b.#denseInput,
      b.#denseOutput,
      isProbedB ? b.denseProbe : undefined,
      frames * a.factor,
    );
  }

  /** Resamples the last block's output to the base rate. Real-time safe. */
  lower(frames: number, output: Float64Array): void {
    this.#downsampler.process(this.#denseOutput, frames, output);
  }

  /** Resamples the last block's probe to the base rate. Real-time safe. */
  lowerProbe(frames: number, probed: Float64Array): void {
    this.#probeDownsampler.process(this.denseProbe, frames, probed);
  }
}

function factorOf(circuitRateHz: number, sampleRateHz: number): OversamplingFactor {
  const factor = OVERSAMPLING_FACTORS.find((candidate) => candidate * sampleRateHz === circuitRateHz);
  if (factor === undefined) {
    throw new RangeError(
      `a circuit compiled for ${circuitRateHz} Hz cannot play at ${sampleRateHz} Hz: not ${OVERSAMPLING_FACTORS.join(', ')} times as much`,
    );
  }
  return factor;
}
