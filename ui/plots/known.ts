import type { ClippingSpread } from '../../engine/analysis/spread-clipping.ts';
import type { SpreadSummary } from '../../engine/analysis/spread-summary.ts';
import type { Slot } from '../../worklets/bench-messages.ts';
import type { LevelPedal } from './level-pedals.ts';
import type { PlottedSine, ResponseAnalysis } from './plot-analysis.ts';

/** Results for both builds; undefined if not known yet, or if the build has no such net. */
export interface Known {
  readonly response: Pair<ResponseAnalysis>;
  readonly sine: Pair<PlottedSine>;
  /** Bands of the response at the output; undefined where none were computed for the build as it is. */
  readonly spread: Pair<SpreadSummary>;
  /** From which input builds with other parts clip; undefined where that was not computed for the build as it is. */
  readonly clips: Pair<ClippingSpread>;
  /** The probed place, in words: "the output" or "net clipped". */
  readonly place: string;
  /** In a chain, the pedals that are looked at, in words: "pedal 2". */
  readonly pedal: string | undefined;
  /** The pedals of the levels. */
  readonly pedals: readonly LevelPedal[];
  /** The build that is heard. */
  readonly heard: Slot;
  /** Where the response begins, in words: "input" or "the strings". */
  readonly from: string;
  readonly hz: number;
  readonly peakV: number;
}
export interface Pair<T> {
  readonly a: T | undefined;
  readonly b: T | undefined;
}

/** Whether two are of the same results, so that plots of them look the same. */
export function isSameKnown(one: Known, other: Known): boolean {
  const isSamePair = <T>(a: Pair<T>, b: Pair<T>) => a.a === b.a && a.b === b.b;
  return (
    isSamePair(one.response, other.response) &&
    isSamePair(one.sine, other.sine) &&
    isSamePair(one.spread, other.spread) &&
    isSamePair(one.clips, other.clips) &&
    one.place === other.place &&
    one.pedal === other.pedal &&
    JSON.stringify(one.pedals) === JSON.stringify(other.pedals) &&
    one.heard === other.heard &&
    one.from === other.from &&
    one.hz === other.hz &&
    one.peakV === other.peakV
  );
}
