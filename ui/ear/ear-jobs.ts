import { type Comparison, compareSignals } from '../../engine/analysis/comparison.ts';
import { type Excerpt, type ExcerptPlan, renderExcerpt } from '../../engine/analysis/excerpt.ts';
import { COMPARED_AIM_DB, judgedRate } from '../../engine/analysis/judged-rate.ts';
import { accuracyWarning } from '../../engine/analysis/offline-rate.ts';
import { renderOffline } from '../../engine/analysis/offline-render.ts';
import {
  measurePresent,
  type PresentPart,
  type RankedCandidate,
  type RankSettings,
  type RateNeed,
  type RefusedCandidate,
  rankCandidate,
  rateNeed,
} from '../../engine/analysis/rank.ts';
import type { Candidate } from '../../engine/analysis/rank-candidates.ts';
import { renderTrouble, saidOf } from '../../engine/analysis/render-trouble.ts';
import { solverAccuracy } from '../../engine/analysis/solver-accuracy.ts';
import { doSpreadTask, type SpreadAnswers, type SpreadTask } from '../../engine/analysis/spread-tasks.ts';
import type { OversamplingFactor, OversamplingOptions } from '../../engine/audio/oversampler.ts';
import type { Build } from '../../engine/builds/build.ts';
import { networkWithin, type Surroundings } from '../../engine/builds/surroundings.ts';
import { liveRemedy } from '../rate/live-rate.ts';
import { networkAsPlayed, type PlayedBuild } from '../state/played-network.ts';
import { type BuildLoudness, type LoudnessPlan, voiceLoudness } from './voice-loudness.ts';

/** Work of some seconds, done in a worker. */
export type EarJob =
  | { readonly kind: 'present'; readonly settings: RankSettings; readonly need: RateNeed | undefined }
  | { readonly kind: 'rateNeed'; readonly settings: RankSettings; readonly candidate?: Candidate }
  | {
      readonly kind: 'candidate';
      readonly settings: RankSettings;
      readonly present: PresentPart;
      readonly candidate: Candidate;
      readonly need: RateNeed | undefined;
    }
  | { readonly kind: 'difference'; readonly plan: DifferencePlan }
  | { readonly kind: 'loudness'; readonly plan: LoudnessPlan }
  | { readonly kind: 'accuracy'; readonly plan: AccuracyPlan }
  | { readonly kind: 'excerpt'; readonly plan: Omit<ExcerptPlan, 'onProgress'> }
  | { readonly kind: 'spread'; readonly task: SpreadTask };

/** A build as it is played over what plays, at the rate at which it plays. */
export interface AccuracyPlan {
  readonly played: PlayedBuild;
  readonly excerptsV: readonly Float64Array[];
  readonly sampleRateHz: number;
  readonly factor: OversamplingFactor;
}

/** Two builds over a phrase. */
export interface DifferencePlan {
  readonly a: Build;
  readonly b: Build;
  readonly inputV: Float64Array;
  readonly oversampling: OversamplingOptions;
  readonly temperatureK: number;
  /** Of A and of B. */
  readonly arounds: readonly [Surroundings, Surroundings];
}

/** Two renders set against each other, and what of the solver's error should be known. */
export interface JudgedComparison extends Comparison {
  readonly warnings: readonly string[];
}

export interface EarResults {
  readonly present: PresentPart;
  readonly rateNeed: RateNeed | undefined;
  readonly candidate: RankedCandidate | RefusedCandidate;
  readonly difference: JudgedComparison;
  /** A sentence where the solver's error is large enough to be known. */
  readonly accuracy: string | undefined;
  readonly excerpt: Excerpt;
  readonly loudness: BuildLoudness;
  readonly spread: SpreadAnswers[SpreadTask['kind']];
}

/**
 * @param onProgress Told the finished share; of a loudness, that of the loudest passage, dB.
 * @throws BuildError, NetworkError, OperatingPointError.
 */
export function doJob(job: EarJob, onProgress: (share: number) => void): EarResults[EarJob['kind']] {
  switch (job.kind) {
    case 'present':
      return measurePresent(job.settings, job.need);
    case 'rateNeed':
      return rateNeed(job.settings, job.candidate);
    case 'candidate':
      return rankCandidate(job.settings, job.present, job.candidate, job.need);
    case 'difference':
      return differenceOf(job.plan);
    case 'accuracy':
      return solverWarningOf(job.plan);
    case 'loudness':
      return voiceLoudness(job.plan, onProgress);
    case 'excerpt':
      return renderExcerpt({ ...job.plan, onProgress });
    case 'spread':
      return doSpreadTask(job.task);
  }
}

function differenceOf({
  a,
  b,
  inputV,
  oversampling,
  temperatureK,
  arounds,
}: DifferencePlan): JudgedComparison {
  const { sampleRateHz } = oversampling;
  const networks = [a, b].map((build, index) => networkWithin(build, temperatureK, arounds[index]!));
  const aim = { from: oversampling.factor, aimDb: COMPARED_AIM_DB, sampleRateHz };
  const rate = judgedRate(networks, [inputV], aim);
  const settings = { ...oversampling, factor: rate.factor };
  const renders = networks.map((network) => renderOffline(network, inputV, settings));
  const warnings = renders.flatMap((render, index) =>
    saidOf('AB'[index]!, [rate.warnings[index], renderTrouble(render)]),
  );
  const [first, second] = renders.map(({ outputV }) => outputV);
  return { ...compareSignals(first!, second!, sampleRateHz), warnings };
}

function solverWarningOf({ played, excerptsV, ...options }: AccuracyPlan): string | undefined {
  const network = networkAsPlayed(played);
  const accuracy = solverAccuracy(network, excerptsV, options);
  return accuracyWarning(network, accuracy, options.sampleRateHz, liveRemedy);
}
