import { accuracyWarning, offlineRate, type RateAim } from '../analysis/offline-rate.ts';
import { accuracyExcerpts, type SolverAccuracy, solverAccuracy } from '../analysis/solver-accuracy.ts';
import type { OversamplingFactor } from '../audio/oversampler.ts';
import type { Network } from '../network/network.ts';
import type { Options } from './options.ts';
import { oversamplingOf } from './recording-input.ts';

/** The rate of a render, and the error of each network at it. */
export interface RateOption {
  readonly factor: OversamplingFactor;
  readonly accuracy: readonly SolverAccuracy[];
  /** A line for each network whose error should be known to the user. */
  readonly warnings: readonly (string | undefined)[];
}

/**
 * The rate that --oversample gives, otherwise the lowest from `from` up at which all networks reach `aimDb`.
 *
 * @param pieces The recording in volts. @throws CliError; NetworkError, OperatingPointError.
 */
export function rateOf(
  options: Options,
  networks: readonly Network[],
  pieces: Iterable<Float64Array>,
  { from, aimDb, sampleRateHz }: RateAim,
): RateOption {
  const asked = oversamplingOf(options, from);
  const excerptsV = accuracyExcerpts(pieces, sampleRateHz);
  const accuracy =
    options.oversample === undefined
      ? offlineRate(networks, excerptsV, { from, aimDb, sampleRateHz })
      : networks.map((network) => solverAccuracy(network, excerptsV, { factor: asked, sampleRateHz }));
  const factor = options.oversample === undefined ? accuracy[0]!.factor : asked;
  const warnings = networks.map((network, index) => accuracyWarning(network, accuracy[index]!, sampleRateHz));
  return { factor, accuracy, warnings };
}
