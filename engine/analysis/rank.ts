import type { OversamplingFactor } from '../audio/oversampler.ts';
import type { Build } from '../builds/build.ts';
import { networkOf } from '../builds/network-of-build.ts';
import { withSettings } from '../builds/part-groups.ts';
import { Refusal } from '../input/refusal.ts';
import type { TypeSpread } from '../parts/type-spread.ts';
import { THIRD_OCTAVES } from './band-levels.ts';
import {
  type BuildMeasurement,
  type MeasurementInput,
  measureBuild,
  measureSound,
  RESPONSE_HZ,
  type SoundMeasurement,
} from './build-measurement.ts';
import type { ClippingLevel } from './clipping-level.ts';
import type { Harmonics } from './harmonics.ts';
import { nullDepth } from './null-depth.ts';
import { offlineRate } from './offline-rate.ts';
import { networkAtSpread, partSpread } from './part-spread.ts';
import type { Candidate } from './rank-candidates.ts';
import { accuracyExcerpts, SAID_ERROR_DB } from './solver-accuracy.ts';

/** Printed with every ranking. */
export const NULL_DEPTH_NOTE =
  'Null depth does not measure audibility: a cutoff moved from 5 to 15 Hz nulls only to -18 dB and is inaudible.';

/** Bands this far below the loudest one are ignored, dB. */
const HEARD_RANGE_DB = 60;

/** The part and the recording of a ranking. */
export interface RankSettings {
  readonly build: Build;
  /** Places that are swapped together, by reference designator. */
  readonly refs: readonly string[];
  readonly input: MeasurementInput;
  /** Of the bench. */
  readonly temperatureK: number;
  /** Also measures how far pieces of each candidate's own type differ, with three times as many renders. */
  readonly withSpread?: boolean;
}

/** Difference between two sounds. */
export interface SoundDifference {
  /** Gated loudness relative to the present part, LU. */
  readonly loudnessLu: number;
  /** Root mean square over the audible third-octaves, after the level match, dB; the list is sorted by it. */
  readonly spectrumDb: number;
  /** Each audible third-octave, after the level match, dB. */
  readonly bands: readonly { readonly hz: number; readonly differenceDb: number }[];
  /** Largest difference of the small-signal responses, dB at Hz; without level match. */
  readonly response: { readonly hz: number; readonly differenceDb: number };
  /** Null depth, dB. See {@link NULL_DEPTH_NOTE}. */
  readonly nullDb: number;
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
  /** Another piece of the present type can differ as much, in tone and in loudness. */
  readonly isWithinPresentSpread: boolean;
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
  { build, input, temperatureK }: RankSettings,
  candidate?: Candidate,
): RateNeed | undefined {
  const { inputV, sampleRateHz, factor } = input;
  const fitted = candidate ? withSettings(build, candidate.settings) : build;
  const aim = { from: factor, most: MOST_RANK_FACTOR, aimDb: SAID_ERROR_DB, sampleRateHz };
  try {
    const excerptsV = accuracyExcerpts([inputV], sampleRateHz);
    const [accuracy] = offlineRate([networkOf(fitted, temperatureK)], excerptsV, aim);
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
  const { build, input, temperatureK } = settings;
  const measurement = measureBuild(build, networkOf(build, temperatureK), input, need && !need.isSaid);
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
  const { build, input, temperatureK, withSpread } = settings;
  const swapped = withSettings(build, candidate.settings);
  try {
    const isKnownGood = need && !need.isSaid;
    const measurement = measureBuild(swapped, networkOf(swapped, temperatureK), input, isKnownGood);
    const difference = soundDifference(present.measurement, measurement, input.sampleRateHz);
    return {
      ...candidate,
      difference,
      harmonics: measurement.harmonics,
      clipping: measurement.clipping,
      isWithinPresentSpread: isWithin(difference, present.ownSpread),
      ...(withSpread ? { ownSpread: ownSpread(settings, swapped, measurement) } : {}),
      warnings: measurement.warnings,
    };
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    return { ...candidate, problem: error.message };
  }
}

/** Candidates by difference, the largest first; then those that are not ranked, and those that cannot be played. */
export function inOrder(
  candidates: readonly (RankedCandidate | RefusedCandidate)[],
): readonly (RankedCandidate | RefusedCandidate)[] {
  const group = (candidate: RankedCandidate | RefusedCandidate) =>
    'problem' in candidate ? 2 : candidate.notRanked === undefined ? 0 : 1;
  const size = (candidate: RankedCandidate | RefusedCandidate) =>
    'problem' in candidate ? 0 : candidate.difference.spectrumDb;
  return [...candidates].sort((one, other) => group(one) - group(other) || size(other) - size(one));
}

function ownSpread(
  { refs, input, temperatureK }: RankSettings,
  build: Build,
  typical: SoundMeasurement,
): OwnSpread {
  const network = networkOf(build, temperatureK);
  const at = (end: 'low' | 'high') => {
    const measured = measureSound(networkAtSpread(build, network, refs, end), input);
    return soundDifference(typical, measured, input.sampleRateHz);
  };
  return { spread: partSpread(build, refs[0]!), low: at('low'), high: at('high') };
}

function isWithin(difference: SoundDifference, { low, high }: OwnSpread): boolean {
  const most = (of: (one: SoundDifference) => number) => Math.max(Math.abs(of(low)), Math.abs(of(high)));
  return (
    difference.spectrumDb <= most(({ spectrumDb }) => spectrumDb) &&
    Math.abs(difference.loudnessLu) <= most(({ loudnessLu }) => loudnessLu)
  );
}

/** @param present,other Renders of one recording. @throws Refusal if one is silent. */
export function soundDifference(
  present: SoundMeasurement,
  other: SoundMeasurement,
  sampleRateHz: number,
): SoundDifference {
  const loudnessLu = other.loudnessDb - present.loudnessDb;
  const bands = heardBands(present, other, sampleRateHz / 2).map(({ hz, differenceDb }) => ({
    hz,
    differenceDb: differenceDb - loudnessLu,
  }));
  const squares = bands.reduce((sum, { differenceDb }) => sum + differenceDb * differenceDb, 0);
  return {
    loudnessLu,
    spectrumDb: Math.sqrt(squares / Math.max(1, bands.length)),
    bands,
    response: largestResponseDifference(present.responseDb, other.responseDb),
    nullDb: nullDepth(present.outputV, other.outputV).depthDb,
  };
}

function heardBands(
  present: SoundMeasurement,
  other: SoundMeasurement,
  endHz: number,
): SoundDifference['bands'] {
  const floors = [present, other].map(({ bandsDb }) => Math.max(...bandsDb) - HEARD_RANGE_DB);
  return THIRD_OCTAVES.flatMap(({ hz, toHz }, index) => {
    const [before, after] = [present.bandsDb[index]!, other.bandsDb[index]!];
    const isHeard = toHz <= endHz && before > floors[0]! && after > floors[1]!;
    return isHeard ? [{ hz, differenceDb: after - before }] : [];
  });
}

function largestResponseDifference(
  present: readonly number[],
  other: readonly number[],
): SoundDifference['response'] {
  let largest = { hz: RESPONSE_HZ[0]!, differenceDb: 0 };
  for (const [index, hz] of RESPONSE_HZ.entries()) {
    const differenceDb = other[index]! - present[index]!;
    if (Math.abs(differenceDb) > Math.abs(largest.differenceDb)) largest = { hz, differenceDb };
  }
  return largest;
}
