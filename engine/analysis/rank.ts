import type { OversamplingFactor } from '../audio/oversampler.ts';
import type { Build } from '../builds/build.ts';
import { LONE, unitAt } from '../builds/chain.ts';
import { withSettings } from '../builds/part-groups.ts';
import { networkAtSpread, partSpread } from '../builds/part-spread.ts';
import { networkWithin, type Surroundings } from '../builds/surroundings.ts';
import { Refusal } from '../input/refusal.ts';
import type { TypeSpread } from '../parts/type-spread.ts';
import {
  type BuildMeasurement,
  type MeasurementInput,
  measureBuild,
  measureSound,
  type SoundMeasurement,
} from './build-measurement.ts';
import type { ClippingLevel } from './clipping-level.ts';
import type { Harmonics } from './harmonics.ts';
import { offlineRate } from './offline-rate.ts';
import type { Candidate } from './rank-candidates.ts';
import { isWithinPieces, VERDICTS, type Verdict, verdictOn } from './rank-verdict.ts';
import { accuracyExcerpts, SAID_ERROR_DB } from './solver-accuracy.ts';
import { type SoundDifference, soundDifference } from './sound-difference.ts';

/** The part and the recording of a ranking. */
export interface RankSettings {
  readonly build: Build;
  /** Places that are swapped together, by reference designator. */
  readonly refs: readonly string[];
  readonly input: MeasurementInput;
  readonly around: Surroundings;
  /** Of the bench. */
  readonly temperatureK: number;
  /** Measures how far pieces of a candidate's own type differ also where its verdict does not depend on it. */
  readonly withSpread?: boolean;
}

/**
 * How far pieces of one type differ: each end of the spread relative to a typical piece. Pieces that are swapped together
 * are from one batch: all are at the same end.
 */
export interface OwnSpread {
  readonly spread: TypeSpread;
  readonly low: SoundDifference;
  readonly high: SoundDifference;
}

/** The present part. */
export interface PresentPart {
  readonly measurement: BuildMeasurement;
  readonly ownSpread: OwnSpread;
}

/** One candidate compared with the present part. */
export interface RankedCandidate extends Candidate {
  readonly difference: SoundDifference;
  readonly harmonics: readonly Harmonics[];
  readonly clipping: ClippingLevel;
  readonly verdict: Verdict;
  readonly ownSpread?: OwnSpread;
  /** What of the solver should be known, in sentences. */
  readonly warnings: readonly string[];
}

/** A candidate that cannot be played, with the reason in a sentence. */
export interface RefusedCandidate extends Candidate {
  readonly problem: string;
}

/** The rate that a build asks for, and whether its error must be reported there. */
export interface RateNeed {
  readonly factor: OversamplingFactor;
  readonly isSaid: boolean;
}

/** Highest rate to which a ranking rises by itself: there it takes four times as long as at 8x. */
const MOST_RANK_FACTOR: OversamplingFactor = 32;

/**
 * The rate, from that of the settings up, at which the error of a candidate, or of the present part, need not be
 * reported. Undefined for a candidate that cannot be played, which is said when it is ranked.
 *
 * @throws NetworkError, OperatingPointError for the present part.
 */
export function rateNeed(
  { build, input, around, temperatureK }: RankSettings,
  candidate?: Candidate,
): RateNeed | undefined {
  const { inputV, sampleRateHz, factor } = input;
  const fitted = candidate ? withSettings(build, candidate.settings) : build;
  const aim = { from: factor, most: MOST_RANK_FACTOR, aimDb: SAID_ERROR_DB, sampleRateHz };
  try {
    const excerptsV = accuracyExcerpts([inputV], sampleRateHz);
    const [accuracy] = offlineRate([networkWithin(fitted, temperatureK, around)], excerptsV, aim);
    return { factor: accuracy!.factor, isSaid: accuracy!.isSaid };
  } catch (error) {
    if (!candidate || !(error instanceof Refusal)) throw error;
    return undefined;
  }
}

/** The settings with the one rate that is enough for all, as far as a rate can be. */
export function atCommonRate(settings: RankSettings, needs: readonly (RateNeed | undefined)[]): RankSettings {
  const factors = needs.map((need) => need?.factor ?? settings.input.factor);
  const factor = Math.max(settings.input.factor, ...factors) as OversamplingFactor;
  return { ...settings, input: { ...settings.input, factor } };
}

/**
 * The present part, with which the candidates are compared.
 *
 * @param need As `rateNeed` found it, if the rate follows it. @throws NetworkError, OperatingPointError.
 */
export function measurePresent(settings: RankSettings, need?: RateNeed): PresentPart {
  const { build } = settings;
  const measurement = measured(settings, build, need);
  return { measurement, ownSpread: ownSpread(settings, build, measurement) };
}

/**
 * Compares one candidate with the present part. All that it needs is in its arguments, so that workers can
 * share a list. A candidate that cannot be played is returned with the reason.
 */
export function rankCandidate(
  settings: RankSettings,
  present: PresentPart,
  candidate: Candidate,
  need?: RateNeed,
): RankedCandidate | RefusedCandidate {
  const { build, input, withSpread } = settings;
  const swapped = withSettings(build, candidate.settings);
  try {
    const measurement = measured(settings, swapped, need);
    const difference = soundDifference(present.measurement, measurement, input.sampleRateHz);
    const needsSpread = candidate.notRanked === undefined && !isWithinPieces(difference, [present.ownSpread]);
    const own = needsSpread || withSpread ? ownSpread(settings, swapped, measurement) : undefined;
    return {
      ...candidate,
      difference,
      harmonics: measurement.harmonics,
      clipping: measurement.clipping,
      verdict: verdictOn(candidate, difference, own ? [present.ownSpread, own] : [present.ownSpread]),
      ...(own && { ownSpread: own }),
      warnings: measurement.warnings,
    };
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    return { ...candidate, problem: error.message };
  }
}

/** First those without a verdict, as the present part's equals, then the others; each by difference, the largest first. */
export function inOrder(
  candidates: readonly (RankedCandidate | RefusedCandidate)[],
): readonly (RankedCandidate | RefusedCandidate)[] {
  const group = (candidate: RankedCandidate | RefusedCandidate) =>
    'problem' in candidate ? VERDICTS.length : VERDICTS.indexOf(candidate.verdict);
  const size = (candidate: RankedCandidate | RefusedCandidate) =>
    'problem' in candidate ? 0 : candidate.difference.spectrumDb;
  return [...candidates].sort((one, other) => group(one) - group(other) || size(other) - size(one));
}

function measured(
  { input, around, temperatureK }: RankSettings,
  build: Build,
  need: RateNeed | undefined,
): BuildMeasurement {
  return measureBuild(build, { temperatureK, around }, input, need && !need.isSaid);
}

function ownSpread(
  { refs, input, around, temperatureK }: RankSettings,
  build: Build,
  typical: SoundMeasurement,
): OwnSpread {
  const network = networkWithin(build, temperatureK, around);
  const unit = unitAt(around.chain ?? LONE);
  const at = (end: 'low' | 'high') => {
    const measured = measureSound(networkAtSpread(build, network, refs, end, unit), input);
    return soundDifference(typical, measured, input.sampleRateHz);
  };
  return { spread: partSpread(build, refs[0]!), low: at('low'), high: at('high') };
}
