import type { ClippingSpread } from '../../engine/analysis/spread-clipping.ts';
import type { Band, SpreadSummary } from '../../engine/analysis/spread-summary.ts';
import { SLOTS } from '../../worklets/bench-messages.ts';
import type { Pair } from './known.ts';
import { type BandView, type Column, type SeriesView, type SpanView, voltsText } from './plot-view.ts';

/** Edges of the bands, from the lowest; the outer pair holds 95 % of the builds, the inner one half of them. */
const EDGES = [
  ['low', '2.5 %'],
  ['lower', '25 %'],
  ['upper', '75 %'],
  ['high', '97.5 %'],
] as const satisfies readonly (readonly [keyof Band, string])[];
/** The two bands by their edges; the inner one lies on the outer one. */
const BANDS = [
  { low: 0, high: 3, share: 0.16 },
  { low: 1, high: 2, share: 0.2 },
] as const;

/** What is drawn behind the clipping curves: where builds begin to clip, on both sides of zero. */
export function clippingSpans(clips: Pair<ClippingSpread>): readonly SpanView[] {
  return SLOTS.flatMap((slot) => {
    const band = clips[slot]?.band;
    if (!band) return [];
    return BANDS.flatMap(({ low, high, share }): SpanView[] => {
      const [from, to] = [band[EDGES[low]![0]], band[EDGES[high]![0]]];
      return [
        { from, to, ink: slot, share },
        { from: -to, to: -from, ink: slot, share },
      ];
    });
  });
}

/**
 * "A begins to clip between 33 mV and 41 mV in 95 % of builds with other parts, in half of them in the darker area."
 *
 * @param peakV Of the test tone: a band above it is not in the plot.
 */
export function clippingBandText(clips: Pair<ClippingSpread>, peakV: number): string {
  return SLOTS.map((slot) => (clips[slot] ? oneText(slot.toUpperCase(), clips[slot], peakV) : '')).join('');
}

function oneText(letter: string, { band, found, tried }: ClippingSpread, peakV: number): string {
  if (!band) return '';
  const { low, high } = band;
  const of = found === tried ? '' : ` (${tried - found} of ${tried} have no level where they begin)`;
  const where = low > peakV ? ', more than this test tone' : ', in half of them in the darker area';
  return ` ${letter} begins to clip between ${voltsText(low)} and ${voltsText(high)} in 95 % of builds with other parts${of}${where}.`;
}

/** What is drawn behind the curves of the response. */
export interface SpreadBands {
  readonly series: readonly SeriesView[];
  readonly columns: readonly Column[];
  readonly bands: readonly BandView[];
}

/** @param hz Of the plot, within those of the run. @param first Place of the first of these series in the plot. */
export function spreadBands(spread: Pair<SpreadSummary>, hz: readonly number[], first: number): SpreadBands {
  const shown = SLOTS.flatMap((slot) => {
    const summary = spread[slot];
    return summary ? [{ slot, summary }] : [];
  });
  return {
    series: shown.flatMap(({ slot }) =>
      EDGES.map(
        ([, text]): SeriesView => ({ name: `${slot.toUpperCase()} ${text}, dB`, ink: slot, width: 0 }),
      ),
    ),
    columns: shown.flatMap(({ summary }) => EDGES.map(([edge]) => edgeAt(summary, edge, hz))),
    bands: shown.flatMap(({ slot }, place) =>
      BANDS.map(({ low, high, share }): BandView => {
        const own = first + EDGES.length * place;
        return { low: own + low, high: own + high, ink: slot, share };
      }),
    ),
  };
}

/** Between the frequencies of the run along the logarithm. */
function edgeAt(
  { hz, response }: SpreadSummary,
  edge: (typeof EDGES)[number][0],
  at: readonly number[],
): Column {
  const [lowest, highest] = [Math.log(hz[0]!), Math.log(hz.at(-1)!)];
  return at.map((each) => {
    const place = ((Math.log(each) - lowest) / (highest - lowest)) * (hz.length - 1);
    const below = Math.min(hz.length - 2, Math.max(0, Math.floor(place)));
    const [before, after] = [response[below]![edge], response[below + 1]![edge]];
    return before + (place - below) * (after - before);
  });
}
