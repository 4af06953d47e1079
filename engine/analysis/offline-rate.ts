import { OVERSAMPLING_FACTORS, type OversamplingFactor } from '../audio/oversampler.ts';
import type { Network } from '../network/network.ts';
import { partsAtFault } from './accuracy-cause.ts';
import { comparedWith, SAID_ERROR_DB, type SolverAccuracy, solverAccuracy } from './solver-accuracy.ts';

/** If a doubled rate gains less than this, dB, a higher rate does not help. */
const LEAST_GAIN_DB = 2;
const HIGHEST = OVERSAMPLING_FACTORS.at(-1)!;
/** What a render is wanted to err by, dB. */
export const RENDER_AIM_DB = -100;
/** Where no rate reaches the wanted error, so much more is allowed, as often as needed, dB. */
const LOOSER_DB = 10;

/** What the search for a rate needs. */
export interface RateAim {
  /** The rate to begin with. */
  readonly from: OversamplingFactor;
  /** The highest allowed rate; the highest of all by default. */
  readonly most?: OversamplingFactor;
  /** The wanted error, dB. */
  readonly aimDb: number;
  readonly sampleRateHz: number;
}

/**
 * One rate for all of these networks, and the error of each at it: the lowest at which each of them reaches the wanted
 * error, or, where no rate does, 10 dB more, 20 dB more, and so on, as long as it need not be reported. A network that no rate
 * brings so far does not raise it: that would take time and help nothing.
 *
 * @param excerptsV See `accuracyExcerpts`. @throws NetworkError, OperatingPointError.
 */
export function offlineRate(
  networks: readonly Network[],
  excerptsV: readonly Float64Array[],
  aim: RateAim,
): readonly SolverAccuracy[] {
  const tried = networks.map((network) => triedRates(network, excerptsV, aim));
  const factor = Math.max(
    ...tried.map((accuracies) => sufficient(accuracies, aim.aimDb)),
  ) as OversamplingFactor;
  const options = { factor, sampleRateHz: aim.sampleRateHz };
  return networks.map(
    (network, index) =>
      tried[index]!.find((each) => each.factor === factor) ?? solverAccuracy(network, excerptsV, options),
  );
}

/** Errors from the first rate up, until the wanted error is reached or two doublings have gained little. */
function triedRates(
  network: Network,
  excerptsV: readonly Float64Array[],
  { from, most = HIGHEST, aimDb, sampleRateHz }: RateAim,
): readonly SolverAccuracy[] {
  const tried: SolverAccuracy[] = [];
  for (const factor of OVERSAMPLING_FACTORS.filter((each) => each >= from && each <= most)) {
    const accuracy = solverAccuracy(network, excerptsV, { factor, sampleRateHz });
    tried.push(accuracy);
    const isWanting = accuracy.errorDb !== undefined && accuracy.errorDb > aimDb;
    // One doubling is not enough to know: where edges fall between samples differs from rate to rate.
    if (!isWanting || gainOf(tried.slice(-3)) < LEAST_GAIN_DB) break;
  }
  return tried;
}

/** Mean gain of a doubling, dB; infinite until two of them have been tried. */
function gainOf(tried: readonly SolverAccuracy[]): number {
  if (tried.length < 3) return Number.POSITIVE_INFINITY;
  const [first, last] = [tried[0]!, tried.at(-1)!];
  return (first.errorDb! - last.errorDb!) / Math.log2(last.factor / first.factor);
}

/** The first of the tried rates that reaches the wanted error or misses it by little, or one that need not be reported; else the first of all. */
function sufficient(tried: readonly SolverAccuracy[], aimDb: number): OversamplingFactor {
  const reaching = (limitDb: number) =>
    tried.find(({ errorDb }) => errorDb === undefined || errorDb <= limitDb);
  for (let limitDb = aimDb; limitDb < SAID_ERROR_DB; limitDb += LOOSER_DB) {
    const sufficing = reaching(limitDb);
    if (sufficing) return sufficing.factor;
  }
  return (reaching(SAID_ERROR_DB) ?? tried[0]!).factor;
}

/**
 * A sentence where an error is large enough to be said; undefined else. What rate it would need is tried, not estimated.
 *
 * @param remedyOf Says what to do where a higher rate would do. @throws as above.
 */
export function accuracyWarning(
  network: Network,
  accuracy: SolverAccuracy,
  sampleRateHz: number,
  remedyOf: (factor: OversamplingFactor) => string = (factor) => `It would need ${factor}x.`,
): string | undefined {
  const { isSaid, errorDb, excerptV, factor } = accuracy;
  if (!isSaid || errorDb === undefined || !excerptV) return undefined;
  if (Number.isNaN(errorDb))
    return "The solver's error could not be estimated: some of the output's values are not numbers.";
  const parts = partsAtFault(network, excerptV, factor, sampleRateHz);
  const where = parts.length > 0 ? ` from ${parts.join(', ')} on` : '';
  const tried = triedRates(network, [excerptV], { from: factor, aimDb: SAID_ERROR_DB, sampleRateHz });
  const needed = tried.find((each) => !each.isSaid);
  const isHopeless = needed === undefined && gainOf(tried) < LEAST_GAIN_DB;
  const reason = isHopeless ? 'it oscillates or is unstable there' : `its edges are too fast for ${factor}x`;
  const remedy = needed ? remedyOf(needed.factor) : 'No rate of this tool is enough.';
  const decibels = errorDb.toFixed(0).replace('-', '−');
  return `The solver may be off by ${decibels} dB ${comparedWith(accuracy)}${where}: ${reason}. ${remedy}`;
}
