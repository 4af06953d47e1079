import { listed } from '../builds/surroundings.ts';
import { clippingLevelText } from './clipping-level.ts';
import type { Explained } from './spread-causes.ts';
import type { SpreadReport } from './spread-report.ts';
import { SPREAD_HZ } from './spread-settings.ts';
import { clippingSwap, levelSwap, type SwapSize, toneSwap } from './spread-verdict.ts';

/** What is varied, and by how much. */
export const SPREAD_NOTE =
  'Each build has other parts of the same values and types. Values spread over their tolerance: normally, with its limit at ' +
  '2.58 standard deviations and none beyond; half of the variance is common to the parts of one value or type in a pedal, as ' +
  'from one bag (common practice, no source). Types spread as stated on their cards, potentiometers also in their taper ' +
  '(±5 % of the track at its middle, our estimate), germanium transistors also in leakage. The supply stays as set, a measured ' +
  'piece as measured. Not in the model: that the closest parts of a wide tolerance may have been sorted out.';

/** What the tone is. */
export const TONE_NOTE =
  'Tone: dB after level match, root mean square over 60 frequencies from 20 Hz to 20 kHz. Level: gain at 1 kHz.';

/** Below this share no few parts decide. */
const MOST_OF_IT = 0.5;
/** Below this many decibels nothing spreads. */
const LEAST_DB = 1e-3;

/** "Measure C5 and C3: they cause 72 % of the spread of the tone. The rest matters less." */
export function measureText(what: string, { measure, shares }: Explained): string {
  const { labels, share } = measure;
  if (labels.length === 0 || shares.length === 0) return `No part changes the ${what}.`;
  const percent = `${Math.round(100 * share)} %`;
  const are = labels.length === 1 ? 'it causes' : 'together they cause';
  if (share < MOST_OF_IT)
    return `No few parts decide the ${what}: of ${listed(labels)} comes ${percent} of its spread.`;
  return `For the ${what} measure ${listed(labels)}: ${are} ${percent} of its spread.`;
}

/** Builds that could not be solved, in a sentence; empty if there are none. */
export function failedText({ summary }: SpreadReport): string {
  if (!summary) return '';
  const { starved, unsettled, singular } = summary.failed;
  const total = starved + unsettled + singular;
  if (total === 0) return '';
  const why = starved > 0 ? `, ${starved} of them because an op-amp has too little supply` : '';
  return `${countText(total)} of ${countText(total + summary.found)} builds have no operating point${why}. They are not in the figures.`;
}

/** The verdict on the swap, a sentence for each figure. @param swap How the swap is named: "the swap from A to B". */
export function swapTexts(report: SpreadReport, swap: string): readonly string[] {
  const { start, summary } = report;
  if (!start.other || !summary) return [];
  return [
    swapText(swap, 'tone', toneSwap(summary, start.other)),
    swapText(swap, 'level', levelSwap(summary, start.other)),
    clippingText(report, swap),
  ].filter((text) => text !== '');
}

function swapText(swap: string, what: string, size: SwapSize | undefined): string {
  if (!size) return '';
  const { swapDb, twoSetsDb } = size;
  if (twoSetsDb < LEAST_DB)
    return `${capital(what)}: ${swap} changes it by ${dbText(swapDb)}; no part of this build does.`;
  const figures = `${dbText(swapDb)} against ${dbText(twoSetsDb)}`;
  return `${capital(what)}: ${swap} does ${ratioText(swapDb / twoSetsDb)} what another set of the same parts would do (${figures}).`;
}

/** In words where one of the two clips from the start, or not at all. */
function clippingText({ clipping, printedClipping }: SpreadReport, swap: string): string {
  if (!clipping || !printedClipping?.other) return '';
  const { own, other } = printedClipping;
  const size = clippingSwap(own, other, clipping);
  if (size) return swapText(swap, 'clipping level', size);
  const [before, after] = [own, other].map(clippingLevelText);
  return before === after ? '' : `Clipping level: ${before} before ${swap}, ${after} after it.`;
}

/** "0.6 of", "14 times". */
export function ratioText(ratio: number): string {
  if (ratio < 0.05) return 'less than 0.1 of';
  if (ratio < 0.995) return `${ratio.toFixed(ratio < 0.95 ? 1 : 2)} of`;
  return `${ratio < 9.95 ? ratio.toFixed(1) : Math.round(ratio)} times`;
}

/** How long it took. */
export function timeText({ plan, solved, seconds, clipping, clippingSeconds }: SpreadReport): string {
  if (seconds === undefined) return `${countText(solved)} of ${countText(plan.count)} builds`;
  const builds = `${countText(plan.count)} builds in ${seconds.toFixed(1)} s`;
  if (!clipping) return `${builds}.`;
  return clippingSeconds === undefined
    ? `${builds}; clipping level of ${clipping.tried} of ${Math.min(plan.count, plan.clippingCount)}`
    : `${builds}; clipping level of ${clipping.tried} in ${clippingSeconds.toFixed(1)} s.`;
}

/** Share of all work that is done: a clipping level takes as long as some hundred builds. */
export function shareDone({ plan, solved, clipping }: SpreadReport): number {
  const weight = CLIPPING_BUILDS * Math.min(plan.count, plan.clippingCount);
  return (solved + CLIPPING_BUILDS * (clipping?.tried ?? 0)) / (plan.count + weight);
}
const CLIPPING_BUILDS = 150;

/** Which two builds differ most; undefined where all are alike. */
export function extremesText({ summary }: SpreadReport): string | undefined {
  if (!summary?.extremes || summary.extremes.toneDb < LEAST_DB) return undefined;
  const { numbers, toneDb } = summary.extremes;
  return `The two most different of the middle 95 %: parts sets ${numbers[0]} and ${numbers[1]}, tone ${dbText(toneDb)} apart.`;
}

export function countText(count: number): string {
  return String(count).replace(/\B(?=(\d{3})+$)/g, ',');
}

function dbText(decibels: number): string {
  return `${decibels.toFixed(2)} dB`;
}

function capital(text: string): string {
  return text[0]!.toUpperCase() + text.slice(1);
}

/** A few frequencies of the response for a table: the nearest to thirds of a decade. */
export const TABLE_HZ: readonly number[] = [20, 50, 100, 200, 500, 1000, 2000, 5000, 10_000, 20_000].map(
  (wanted) =>
    SPREAD_HZ.reduce((best, hz) =>
      Math.abs(Math.log(hz / wanted)) < Math.abs(Math.log(best / wanted)) ? hz : best,
    ),
);
