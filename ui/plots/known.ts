import type { SineAnalysis } from '../../engine/analysis/sine-analysis.ts';
import type { ResponseAnalysis } from './plot-analysis.ts';

/** Results for both builds; undefined if not known yet, or if the build has no such net. */
export interface Known {
  readonly response: Pair<ResponseAnalysis>;
  readonly sine: Pair<SineAnalysis>;
  /** The probed place, in words: "the output" or "net clipped". */
  readonly place: string;
  readonly hz: number;
  readonly peakV: number;
}
export interface Pair<T> {
  readonly a: T | undefined;
  readonly b: T | undefined;
}
