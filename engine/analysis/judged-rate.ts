import type { OversamplingFactor } from '../audio/oversampler.ts';
import type { Network } from '../network/network.ts';
import { accuracyWarning, offlineRate, type RateAim } from './offline-rate.ts';
import {
  accuracyExcerpts,
  comparedWith,
  NOT_ESTIMATED,
  type SolverAccuracy,
  solverAccuracy,
} from './solver-accuracy.ts';

/** Builds that are compared are solved at a higher rate where one of them is off by more than this, dB. */
export const COMPARED_AIM_DB = -70;

/** The rate of one or more renders, and the error of each network at it. */
export interface JudgedRate {
  readonly factor: OversamplingFactor;
  readonly accuracy: readonly SolverAccuracy[];
  /** A sentence for each network whose error should be known to the user. */
  readonly warnings: readonly (string | undefined)[];
}

/**
 * A rate that suits all of the networks over a recording, or the one that is asked for, with its errors.
 *
 * @param pieces The recording in volts. @throws NetworkError, OperatingPointError.
 */
export function judgedRate(
  networks: readonly Network[],
  pieces: Iterable<Float64Array>,
  aim: RateAim,
  asked?: OversamplingFactor,
): JudgedRate {
  const { sampleRateHz } = aim;
  const excerptsV = accuracyExcerpts(pieces, sampleRateHz);
  const accuracy =
    asked === undefined
      ? offlineRate(networks, excerptsV, aim)
      : networks.map((network) => solverAccuracy(network, excerptsV, { factor: asked, sampleRateHz }));
  const warnings = networks.map((network, index) => accuracyWarning(network, accuracy[index]!, sampleRateHz));
  return { factor: accuracy[0]?.factor ?? asked ?? aim.from, accuracy, warnings };
}

/** An estimate as it is printed. */
export type KnownError = Pick<SolverAccuracy, 'errorDb' | 'isQuiet'>;

/** Errors of renders of one recording, in words; all are estimated, or none. */
export function solverErrorText(accuracy: readonly KnownError[]): string {
  const known = accuracy.filter(({ errorDb }) => errorDb !== undefined);
  if (known.length === 0) return NOT_ESTIMATED;
  const isAlike = known.every(({ isQuiet }) => isQuiet === known[0]!.isQuiet);
  const errors = known.map((each) => {
    const decibels = each.errorDb!.toFixed(0);
    return isAlike ? decibels : `${decibels} dB ${comparedWith(each)}`;
  });
  return `about ${errors.join(' and ')}${isAlike ? ` dB ${comparedWith(known[0]!)}` : ''}`;
}
