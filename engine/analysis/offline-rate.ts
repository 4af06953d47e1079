import { OVERSAMPLING_FACTORS, type OversamplingFactor } from '../audio/oversampler.ts';
import type { Network } from '../network/network.ts';
import { accuracyCause, LEAST_GAIN_DB } from './accuracy-cause.ts';
import { SAID_ERROR_DB, type SolverAccuracy, solverAccuracy } from './solver-accuracy.ts';

/** What the search for a rate needs. */
export interface RateAim {
  /** The rate to begin with; the highest is the last of the factors. */
  readonly from: OversamplingFactor;
  /** The wanted error, dB. */
  readonly aimDb: number;
  readonly sampleRateHz: number;
}

/**
 * The rate at which all of these networks reach the wanted error, and the error of each at it. The rate goes up while
 * one of them needs it and a doubling helps.
 *
 * @param excerptsV See `accuracyExcerpts`. @throws NetworkError, OperatingPointError.
 */
export function offlineRate(
  networks: readonly Network[],
  excerptsV: readonly Float64Array[],
  { from, aimDb, sampleRateHz }: RateAim,
): readonly SolverAccuracy[] {
  const measure = (factor: OversamplingFactor) =>
    networks.map((network) => solverAccuracy(network, excerptsV, { factor, sampleRateHz }));
  let accuracies = measure(from);
  for (const factor of OVERSAMPLING_FACTORS.filter((candidate) => candidate > from)) {
    const asks = ({ errorDb, gainOfDoublingDb }: SolverAccuracy) =>
      errorDb !== undefined && errorDb > aimDb && gainOfDoublingDb >= LEAST_GAIN_DB;
    if (!accuracies.some(asks)) break;
    accuracies = measure(factor);
  }
  return accuracies;
}

/**
 * A sentence where an error is large enough to be said; undefined else.
 *
 * @param remedyOf Says what to do where a higher rate would do. @throws as above.
 */
export function accuracyWarning(
  network: Network,
  accuracy: SolverAccuracy,
  sampleRateHz: number,
  remedyOf: (factor: OversamplingFactor) => string = (factor) => `It would need ${factor}x.`,
): string | undefined {
  const { isSaid, errorDb, excerptV } = accuracy;
  if (!isSaid || errorDb === undefined || !excerptV) return undefined;
  if (Number.isNaN(errorDb))
    return "The solver's error could not be estimated: some of the output's values are not numbers.";
  const { parts, reason } = accuracyCause(network, excerptV, accuracy, sampleRateHz);
  const where = parts.length > 0 ? ` from ${parts.join(', ')} on` : '';
  const factor = neededFactor(accuracy, errorDb);
  const remedy = factor === undefined ? '' : ` ${remedyOf(factor)}`;
  const decibels = errorDb.toFixed(0).replace('-', '−');
  return `The solver may be off by ${decibels} dB of the output${where}: ${reason}.${remedy}`;
}

/** The rate at which the error need no longer be said; undefined where none will do. */
function neededFactor(
  { factor, gainOfDoublingDb }: SolverAccuracy,
  errorDb: number,
): OversamplingFactor | undefined {
  if (gainOfDoublingDb < LEAST_GAIN_DB) return undefined;
  const wanted = factor * 2 ** Math.ceil((errorDb - SAID_ERROR_DB) / gainOfDoublingDb);
  return OVERSAMPLING_FACTORS.find((candidate) => candidate === wanted);
}
