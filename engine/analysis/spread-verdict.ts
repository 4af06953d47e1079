import { networkWithin } from '../builds/surroundings.ts';
import { ratioToDb } from '../units/decibels.ts';
import type { ClippingLevel } from './clipping-level.ts';
import { FrequencyResponse } from './frequency-response.ts';
import type { ClippingSpread } from './spread-clipping.ts';
import { asPrinted, LEAST_GAIN_DB, LEVEL_HZ, SPREAD_HZ, type SpreadSettings } from './spread-settings.ts';
import type { SpreadSummary } from './spread-summary.ts';

/** How much a swap changes, and how much another set of the same parts does. */
export interface SwapSize {
  readonly swapDb: number;
  /** Median of pairs of sets. */
  readonly twoSetsDb: number;
}

/** Response and level of a build with every part as printed, to be compared with another one. */
export interface PrintedResponse {
  readonly responseDb: readonly number[];
  readonly levelDb: number;
}

/** @throws BuildError, NetworkError, OperatingPointError. */
export function printedResponse(settings: SpreadSettings): PrintedResponse {
  const { build, around, temperatureK } = asPrinted(settings);
  const network = networkWithin(build, (temperatureK.low + temperatureK.high) / 2, around);
  const response = new FrequencyResponse(network);
  const at = (hz: number) => Math.max(LEAST_GAIN_DB, response.at(hz, network.output).decibels);
  return { responseDb: SPREAD_HZ.map(at), levelDb: at(LEVEL_HZ) };
}

/** Of the tone: see `SetDistance`. Undefined where there are no two sets to compare. */
export function toneSwap({ response, twoSets }: SpreadSummary, other: PrintedResponse): SwapSize | undefined {
  if (!twoSets) return undefined;
  const differences = response.map(({ printed }, index) => other.responseDb[index]! - printed);
  const mean = differences.reduce((sum, each) => sum + each, 0) / differences.length;
  const squares = differences.reduce((sum, each) => sum + (each - mean) ** 2, 0);
  return { swapDb: Math.sqrt(squares / differences.length), twoSetsDb: twoSets.toneDb };
}

/** Of the level at LEVEL_HZ. */
export function levelSwap({ level, twoSets }: SpreadSummary, other: PrintedResponse): SwapSize | undefined {
  return twoSets && { swapDb: Math.abs(other.levelDb - level.printed), twoSetsDb: twoSets.levelDb };
}

/** Of where the builds clip from; undefined where one has no such level. */
export function clippingSwap(
  printed: ClippingLevel,
  other: ClippingLevel,
  { twoSetsDb }: ClippingSpread,
): SwapSize | undefined {
  if (printed.kind !== 'from' || other.kind !== 'from' || twoSetsDb === undefined) return undefined;
  return { swapDb: Math.abs(ratioToDb(other.inputPeakV / printed.inputPeakV)), twoSetsDb };
}
