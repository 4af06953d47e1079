import { createHash } from 'node:crypto';
import { netlistOf } from '../../engine/network/netlist.ts';
import type { Network } from '../../engine/network/network.ts';
import { pruneNetwork } from '../../engine/network/prune.ts';
import { CircuitSimulator } from '../../engine/solver/circuit-simulator.ts';
import { compileCircuit } from '../../engine/solver/compile.ts';
import { operatingPoint } from '../../engine/solver/operating-point.ts';
import { bandLimit, OUTPUT_RATE_HZ } from './band-limit.ts';
import { errorDb } from './error-db.ts';
import { NetlistSolver } from './netlist-solver.ts';
import { DENSE_FACTOR, denseInput, inputAt, type TrialInput } from './trial-input.ts';

/** Cutoff of the low-pass for both outputs before the comparison, Hz. */
const COMPARED_HZ = 19_000;
/** Limit for the reference's own error, dB. */
const OWN_ERROR_DB = -120;
/** The finest tolerance of the reference. */
const LAST_LEVEL = 3;
/**
 * The circuit is unstable if a relative change of the input by this amount grows above this level, dB, or if the tolerance
 * changes the output by more: an oscillator of its own has another phase then.
 */
const DISTURBANCE = 1e-9;
const UNSTABLE_DB = -60;
/** Above this error it is checked whether the circuit is unstable. */
const SUSPECT_DB = -100;

/**
 * The reference's output is band-limited from the means of samples at so many times 48 kHz. From values at 32 times, edges of
 * op-amps alone made an error of -60 dB.
 */
const HEARD_FACTOR = 128;

/** The reference's result for one circuit and input. */
export interface ReferenceAnswer {
  /** Volts at 48 kHz behind the low-pass. */
  readonly outputV: Float64Array;
  /** Difference between two tolerances, dB. */
  readonly ownErrorDb: number;
  readonly isUnstable: boolean;
  /** Largest difference of a net between the reference's own operating point and the solver's, V. */
  readonly restV: number;
}

/** @throws ReferenceFailure if the reference fails; NetworkError, OperatingPointError if the engine refuses. */
export function referenceAnswer(unpruned: Network, input: TrialInput): ReferenceAnswer {
  const network = pruneNetwork(unpruned);
  const near = Object.fromEntries(operatingPoint(network).volts);
  const solver = new NetlistSolver(netlistOf(network));
  try {
    const samplesV = denseInput(input);
    const runAt = (level: number, volts = samplesV) => {
      const asked = {
        samplesV: volts,
        rateHz: OUTPUT_RATE_HZ * DENSE_FACTOR,
        outputRateHz: OUTPUT_RATE_HZ * HEARD_FACTOR,
        count: (samplesV.length - 1) * (HEARD_FACTOR / DENSE_FACTOR) + 1,
        areMeans: true,
      };
      const means = solver.run(asked, level, { near }).nets[0]!;
      return bandLimit(valuesOfMeans(means), HEARD_FACTOR, COMPARED_HZ);
    };
    let [coarse, outputV, level] = [runAt(0), runAt(1), 1];
    while (errorDb(coarse, outputV) > OWN_ERROR_DB && level < LAST_LEVEL)
      [coarse, outputV, level] = [outputV, runAt(level + 1), level + 1];
    const ownErrorDb = errorDb(coarse, outputV);
    const isUnstable = () =>
      errorDb(
        runAt(
          level,
          samplesV.map((volts) => volts * (1 + DISTURBANCE)),
        ),
        outputV,
      ) > UNSTABLE_DB;
    return {
      outputV,
      ownErrorDb,
      isUnstable: ownErrorDb > UNSTABLE_DB || (ownErrorDb > SUSPECT_DB && isUnstable()),
      restV: farthest(restOf(solver), near),
    };
  } finally {
    solver.close();
  }
}

/** Values of a signal far below the sample rate, from its means over a sample: the mean is x + x″·T²/24. */
function valuesOfMeans(means: Float64Array): Float64Array {
  return means.map((mean, n) => mean - ((means[n + 1] ?? mean) - 2 * mean + (means[n - 1] ?? mean)) / 24);
}

/** SHA-256 of what the reference gets of a network; it does not depend on the order of its parts and numbers. */
export function netlistDigest(network: Network): string {
  const { parts, ...rest } = netlistOf(pruneNetwork(network));
  const lines = parts.map(({ origin, ...part }) => JSON.stringify(Object.entries(part).sort(byFirst)));
  const text = JSON.stringify([Object.entries(rest).sort(byFirst), lines.sort()]);
  return createHash('sha256').update(text).digest('hex');
}

const byFirst = ([a]: readonly [string, unknown], [b]: readonly [string, unknown]) => (a < b ? -1 : 1);

/** The engine's error at an oversampling, dB relative to the reference. */
export function solverErrorDb(
  network: Network,
  input: TrialInput,
  factor: number,
  { outputV }: Pick<ReferenceAnswer, 'outputV'>,
): { readonly errorDb: number; readonly failures: number } {
  const inputV = inputAt(input, factor);
  const simulator = new CircuitSimulator(compileCircuit(network, { sampleRateHz: OUTPUT_RATE_HZ * factor }));
  const own = new Float64Array(inputV.length);
  simulator.process(inputV, own, inputV.length);
  const { failures, resets } = simulator;
  return { errorDb: errorDb(bandLimit(own, factor, COMPARED_HZ), outputV), failures: failures + resets };
}

/** Infinite if the reference finds no operating point without a starting point. */
function restOf(solver: NetlistSolver): Readonly<Record<string, number>> | undefined {
  try {
    return solver.rest();
  } catch {
    return undefined;
  }
}

function farthest(own: Readonly<Record<string, number>> | undefined, other: Record<string, number>): number {
  if (!own) return Number.POSITIVE_INFINITY;
  return Math.max(0, ...Object.entries(own).map(([net, volts]) => Math.abs(volts - (other[net] ?? volts))));
}
