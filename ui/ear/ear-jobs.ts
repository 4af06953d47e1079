import { type Comparison, compareSignals } from '../../engine/analysis/comparison.ts';
import { type Excerpt, type ExcerptPlan, renderExcerpt } from '../../engine/analysis/excerpt.ts';
import { renderOffline } from '../../engine/analysis/offline-render.ts';
import {
  measurePresent,
  type PresentPart,
  type RankedCandidate,
  type RankSettings,
  type RefusedCandidate,
  rankCandidate,
} from '../../engine/analysis/rank.ts';
import type { Candidate } from '../../engine/analysis/rank-candidates.ts';
import type { OversamplingOptions } from '../../engine/audio/oversampler.ts';
import type { Build } from '../../engine/builds/build.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';

/** Work of some seconds, done in a worker. */
export type EarJob =
  | { readonly kind: 'present'; readonly settings: RankSettings }
  | {
      readonly kind: 'candidate';
      readonly settings: RankSettings;
      readonly present: PresentPart;
      readonly candidate: Candidate;
    }
  | { readonly kind: 'difference'; readonly plan: DifferencePlan }
  | { readonly kind: 'excerpt'; readonly plan: Omit<ExcerptPlan, 'onProgress'> };

/** Two builds over a phrase. */
export interface DifferencePlan {
  readonly a: Build;
  readonly b: Build;
  readonly inputV: Float64Array;
  readonly oversampling: OversamplingOptions;
  readonly temperatureK: number;
}

export interface EarResults {
  readonly present: PresentPart;
  readonly candidate: RankedCandidate | RefusedCandidate;
  readonly difference: Comparison;
  readonly excerpt: Excerpt;
}

/** @throws BuildError, NetworkError, OperatingPointError. */
export function doJob(job: EarJob, onProgress: (share: number) => void): EarResults[EarJob['kind']] {
  switch (job.kind) {
    case 'present':
      return measurePresent(job.settings);
    case 'candidate':
      return rankCandidate(job.settings, job.present, job.candidate);
    case 'difference':
      return differenceOf(job.plan);
    case 'excerpt':
      return renderExcerpt({ ...job.plan, onProgress });
  }
}

function differenceOf({ a, b, inputV, oversampling, temperatureK }: DifferencePlan): Comparison {
  const [first, second] = [a, b].map(
    (build) => renderOffline(networkOf(build, temperatureK), inputV, oversampling).outputV,
  );
  return compareSignals(first!, second!, oversampling.sampleRateHz);
}
