import { chainWith, LONE, unitOf } from '../builds/chain.ts';
import { type WithoutSpread, withoutSpread } from '../builds/deviations.ts';
import { listed } from '../builds/surroundings.ts';
import { clippingLevelText } from './clipping-level.ts';
import { type Explained, LEAST_BUILDS } from './spread-causes.ts';
import type { SpreadReport } from './spread-report.ts';
import { SPREAD_HZ, type SpreadSettings } from './spread-settings.ts';
import { clippingSwap, levelSwap, type SwapSize, toneSwap } from './spread-verdict.ts';

/** What is varied, and by how much. */
export const SPREAD_NOTE =
  'Each build has other parts of the same values and types. Values spread over their tolerance: normally, with its limit at ' +
  '2.58 standard deviations and none beyond; half of the variance is common to the parts of one value or type in a pedal, as ' +
  'from one bag (common practice, no source). Types spread as stated on their cards, potentiometers also in their taper ' +
  '(±5 % of the track at its middle, our estimate), germanium transistors also in leakage, transistors in base-emitter voltage ' +
  'where a data sheet bounds it. The supply stays as set, a measured ' +
  'piece as measured. Not in the model: that the closest parts of a wide tolerance may have been sorted out.';

/** What the tone is. */
export const TONE_NOTE =
  'Tone: dB after level match, root mean square over 60 frequencies from 20 Hz to 20 kHz. Level: gain at 1 kHz.';

/** Below this share no few parts decide. */
const MOST_OF_IT = 0.5;
/** Below this many decibels nothing spreads. */
const LEAST_DB = 1e-3;

/** "For the tone measure C5 and C3: together they cause 72 % of its spread." */
export function measureText(what: string, { found, differs, measure: { labels, share } }: Explained): string {
  if (found >= 2 && !differs) return `No part changes the ${what}.`;
  if (found < LEAST_BUILDS)
    return `Too few builds to say which parts change the ${what}: ${found} work, ${countText(LEAST_BUILDS)} are needed.`;
  if (labels.length === 0) return `The ${what} depends on many parts; none of them stands out.`;
  const spread = `${Math.round(100 * share)} % of its spread`;
  const isOne = labels.length === 1;
  if (share < MOST_OF_IT)
    return `The ${what} depends on many parts; ${listed(labels)} ${isOne ? 'causes' : 'together cause'} ${spread}.`;
  return `For the ${what} measure ${listed(labels)}: ${isOne ? 'it causes' : 'together they cause'} ${spread}.`;
}

/** What stays as in the data of the types, since no sheet at hand says how far pieces differ; empty if there is none. */
export function notVariedText({ build, around }: SpreadSettings): string {
  const chain = chainWith(build, around.chain ?? LONE);
  const of = (what: keyof WithoutSpread) =>
    chain.pedals.flatMap((pedal, position) => {
      const unit = unitOf(chain, position);
      return withoutSpread(pedal.build)[what].map((ref) => (unit === '' ? ref : `${unit}:${ref}`));
    });
  const [baseEmitter, offset] = [of('baseEmitter'), of('offset')];
  const told = [
    ...(baseEmitter.length > 0
      ? [`base-emitter voltage of ${listed(baseEmitter)} (no sheet at hand bounds it)`]
      : []),
    ...(offset.length > 0 ? [`input offset voltage of ${listed(offset)} (${OFFSET_NOTE})`] : []),
  ];
  return told.length === 0 ? '' : `Not varied: ${told.join('; ')}.`;
}
const OFFSET_NOTE =
  'not in the model; DC volts behind it differ by some millivolts more, from memory, times its gain at DC';

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
  if (swapDb < LEAST_DB)
    return `${capital(what)}: ${swap} does not change it; another set of the same parts changes it by ${dbText(twoSetsDb)}.`;
  const times = timesText(swapDb / twoSetsDb);
  return `${capital(what)}: ${swap} changes it by ${dbText(swapDb)}, ${times} what another set of the same parts does (${dbText(twoSetsDb)}).`;
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

/** "about", "0.6 of", "1.7 times", "14 times", before what is compared with. */
export function timesText(ratio: number): string {
  if (ratio < 0.01) return 'less than 0.01 of';
  const rounded = Number(ratio.toPrecision(ratio < 0.1 ? 1 : 2));
  if (rounded >= 0.95 && rounded <= 1.05) return 'about';
  return rounded < 1 ? `${rounded} of` : `${countText(rounded)} times`;
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

/** Where the builds clip from that have no clipping level to put into a band; empty where all have one. */
export function clippingKindsText({ clipping, printedClipping }: SpreadReport): string {
  if (!clipping || !printedClipping || clipping.found === clipping.tried) return '';
  const { tried, found, others } = clipping;
  const counts = [
    [found, 'from a level in the table'],
    ...KINDS.map((kind) => [others[kind], clippingLevelText({ kind })] as const),
    [others.failed, 'have no operating point'],
  ] as const;
  const told = counts.filter(([count]) => count > 0).map(([count, text]) => `${countText(count)} ${text}`);
  const builds = `${countText(tried)} ${tried === 1 ? 'build' : 'builds'}`;
  return `Clips from: as printed ${clippingLevelText(printedClipping.own)}; of ${builds} tried, ${told.join(', ')}.`;
}
const KINDS = ['soft', 'none', 'silent'] as const;

/** Whether there are two builds that can be heard one after the other. */
export function hasExtremes({ summary }: SpreadReport): boolean {
  return summary?.extremes !== undefined && summary.extremes.toneDb >= LEAST_DB;
}

/** Which two builds differ most. */
export function extremesText(report: SpreadReport): string {
  const { extremes } = report.summary ?? {};
  if (!extremes) return 'Too few of the builds work to say how far they differ.';
  if (!hasExtremes(report)) return 'The tone of all builds is the same.';
  const { numbers, toneDb } = extremes;
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
