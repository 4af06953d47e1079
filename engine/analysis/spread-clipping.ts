import { Refusal } from '../input/refusal.ts';
import { ratioToDb } from '../units/decibels.ts';
import { type ClippingLevel, clippingLevelOf } from './clipping-level.ts';
import { asPrinted, type SpreadSettings, temperatureIn, withSet } from './spread-settings.ts';
import { type Band, bandOf } from './spread-summary.ts';

/** Where the builds of a run clip from. */
export interface ClippingSpread {
  /** How many were tried, and how many of them have a level between the limits of `ClippingLevel`. */
  readonly tried: number;
  readonly found: number;
  /** How many of the others have no level, by its kind, and how many no operating point. */
  readonly others: Readonly<Record<Exclude<ClippingLevel['kind'], 'from'> | 'failed', number>>;
  /** V; of those found. Undefined for none. */
  readonly band: Band | undefined;
  /** How much two sets of the same parts differ, half of the pairs more, half less, dB; undefined for fewer than two. */
  readonly twoSetsDb: number | undefined;
}

/** Of the build as printed. @throws BuildError, NetworkError, OperatingPointError. */
export function printedClipping(settings: SpreadSettings): ClippingLevel {
  const { build, around, temperatureK } = asPrinted(settings);
  return clippingLevelOf(build, (temperatureK.low + temperatureK.high) / 2, around);
}

/** Of one build of a run, by its number; undefined for one without an operating point. @param nearV See `clippingLevelOf`. */
export function clippingOf(
  settings: SpreadSettings,
  number: number,
  nearV: number | undefined,
): ClippingLevel | undefined {
  const { build, around } = withSet(settings, number);
  try {
    return clippingLevelOf(build, temperatureIn(settings, number), around, nearV);
  } catch (error) {
    if (error instanceof Refusal) return undefined;
    throw error;
  }
}

/** @param levels In the order of their numbers. */
export function clippingSpread(
  printed: ClippingLevel,
  levels: readonly (ClippingLevel | undefined)[],
): ClippingSpread {
  const volts = levels.map((level) => (level?.kind === 'from' ? level.inputPeakV : undefined));
  const known = Float64Array.from(volts.filter((each) => each !== undefined));
  const pairs = volts.flatMap((volt, index) => {
    const other = volts[index + 1];
    return index % 2 === 0 && volt !== undefined && other !== undefined
      ? [Math.abs(ratioToDb(other / volt))]
      : [];
  });
  const found = known.length;
  const counted = (kind: ClippingLevel['kind'] | undefined) =>
    levels.filter((level) => level?.kind === kind).length;
  const printedV = printed.kind === 'from' ? printed.inputPeakV : Number.NaN;
  return {
    tried: levels.length,
    found,
    others: {
      soft: counted('soft'),
      none: counted('none'),
      silent: counted('silent'),
      failed: counted(undefined),
    },
    band: found === 0 ? undefined : withPrinted(bandOf(known, known[0]!), printedV),
    twoSetsDb: pairs.length === 0 ? undefined : bandOf(Float64Array.from(pairs), 0).median,
  };
}

function withPrinted(band: Band, printed: number): Band {
  return { ...band, printed };
}
