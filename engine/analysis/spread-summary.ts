import { causesOf, type Explained } from './spread-causes.ts';
import { columnCount, type SpreadCause, type SpreadChunk, type SpreadColumns } from './spread-run.ts';

/** How one figure differs from build to build. */
export interface Band {
  /** With every part as printed. */
  readonly printed: number;
  readonly mean: number;
  /** Standard deviation. */
  readonly deviation: number;
  /** Quantiles: 95 % of the builds are from low to high, half from lower to upper. */
  readonly low: number;
  readonly lower: number;
  readonly median: number;
  readonly upper: number;
  readonly high: number;
}

/** A figure with its band and the parts that cause it. */
export interface NamedBand extends Band {
  readonly name: string;
  readonly causes: Explained;
}

/** What a run has found so far. */
export interface SpreadSummary {
  /** Builds with an operating point, and those without. */
  readonly found: number;
  readonly failed: SpreadChunk['failed'];
  readonly hz: readonly number[];
  /** Gain at each frequency, dB. */
  readonly response: readonly Band[];
  /** Of the tone: the response less its mean over the frequencies, as a level match leaves it. */
  readonly toneCauses: Explained;
  /** Gain at LEVEL_HZ, dB. */
  readonly level: NamedBand;
  /** V; nets at 0 V in every build are left out. */
  readonly nets: readonly NamedBand[];
  /** A. */
  readonly supplies: readonly NamedBand[];
  /** How much two sets of the same parts differ, half of the pairs more, half less; undefined for fewer than two builds. */
  readonly twoSets: SetDistance | undefined;
  /** Numbers of the two builds that differ most among the middle 95 %. */
  readonly extremes: Extremes | undefined;
}

export interface SetDistance {
  /** Tone: root mean square of the difference over the frequencies, less its mean, dB. */
  readonly toneDb: number;
  readonly levelDb: number;
}

export interface Extremes {
  readonly numbers: readonly [number, number];
  readonly toneDb: number;
}

/** Share of the builds that are in the middle. */
const MIDDLE_SHARE = 0.95;
/** A net with less is at 0 V, V. */
const LEAST_V = 1e-3;

/** @param nominal The columns with every part as printed. @param chunks In the order of their numbers. */
export function summarise(
  columns: SpreadColumns,
  causes: readonly SpreadCause[],
  nominal: Float64Array,
  chunks: readonly SpreadChunk[],
): SpreadSummary {
  const width = columnCount(columns);
  const rows = joined(chunks.map((chunk) => chunk.rows));
  const numbers = chunks.flatMap((chunk) => [...chunk.numbers]);
  const found = numbers.length;
  const bands = Array.from({ length: width }, (_, column) =>
    bandOf(columnOf(rows, width, column), nominal[column]!),
  );
  const explained = causesOf({ causes, chunks, found, moments: bands });
  const { hz, nets, supplies } = columns;
  const tones = tonesOf(rows, width, hz.length);
  const toneBands = hz.map((_, index) => bandOf(columnOf(tones, hz.length, index), 0));
  const named = (name: string, column: number): NamedBand => ({
    ...bands[column]!,
    name,
    causes: explained({ first: column, count: 1 }),
  });
  const firstNet = hz.length + 1;
  const hasVolts = ({ low, high, printed }: Band) =>
    Math.max(Math.abs(low), Math.abs(high), Math.abs(printed)) >= LEAST_V;
  return {
    found,
    failed: totalOf(chunks),
    hz,
    response: bands.slice(0, hz.length),
    toneCauses: explained({
      first: 0,
      count: hz.length,
      isTone: true,
      variance: toneBands.reduce((sum, { deviation }) => sum + deviation ** 2, 0),
    }),
    level: named('level', hz.length),
    nets: nets.map((name, index) => named(name, firstNet + index)).filter(hasVolts),
    supplies: supplies.map((name, index) => named(name, firstNet + nets.length + index)),
    twoSets: found < 2 ? undefined : distanceOfSets(rows, width, tones, hz.length),
    extremes:
      found < 2
        ? undefined
        : extremesOf(
            tones,
            toneBands.map(({ median }) => median),
            numbers,
          ),
  };
}

/** Mean, deviation and quantiles of some values. @param values Sorted in place. */
export function bandOf(values: Float64Array, printed: number): Band {
  let [sum, squares] = [0, 0];
  for (let index = 0; index < values.length; index++) sum += values[index]! - printed;
  const mean = printed + sum / values.length;
  for (let index = 0; index < values.length; index++) squares += (values[index]! - mean) ** 2;
  values.sort();
  const at = (share: number) => quantile(values, share);
  return {
    printed,
    mean,
    deviation: values.length > 1 ? Math.sqrt(squares / (values.length - 1)) : 0,
    low: at(0.025),
    lower: at(0.25),
    median: at(0.5),
    upper: at(0.75),
    high: at(0.975),
  };
}

/** Between the nearest two of sorted values, as numpy's default does; NaN for none. */
function quantile(sorted: Float64Array, share: number): number {
  const place = share * (sorted.length - 1);
  const below = sorted[Math.floor(place)] ?? Number.NaN;
  return below + (place % 1) * ((sorted[Math.ceil(place)] ?? Number.NaN) - below);
}

function joined(parts: readonly Float32Array[]): Float32Array {
  const all = new Float32Array(parts.reduce((sum, { length }) => sum + length, 0));
  let at = 0;
  for (const part of parts) {
    all.set(part, at);
    at += part.length;
  }
  return all;
}

function columnOf(rows: Float32Array, width: number, column: number): Float64Array {
  const values = new Float64Array(rows.length / width);
  for (let index = 0; index < values.length; index++) values[index] = rows[index * width + column]!;
  return values;
}

function totalOf(chunks: readonly SpreadChunk[]): SpreadChunk['failed'] {
  const sum = (of: keyof SpreadChunk['failed']) =>
    chunks.reduce((total, { failed }) => total + failed[of], 0);
  return { starved: sum('starved'), unsettled: sum('unsettled'), singular: sum('singular') };
}

/** The responses less their means, row by row. */
function tonesOf(rows: Float32Array, width: number, frequencies: number): Float32Array {
  const tones = new Float32Array((rows.length / width) * frequencies);
  for (let row = 0; row * width < rows.length; row++) {
    let sum = 0;
    for (let index = 0; index < frequencies; index++) sum += rows[row * width + index]!;
    for (let index = 0; index < frequencies; index++)
      tones[row * frequencies + index] = rows[row * width + index]! - sum / frequencies;
  }
  return tones;
}

/** Of pairs of neighbours, which are independent. */
function distanceOfSets(
  rows: Float32Array,
  width: number,
  tones: Float32Array,
  frequencies: number,
): SetDistance {
  const pairs = Math.floor(rows.length / width / 2);
  const distances = new Float64Array(pairs);
  const levels = new Float64Array(pairs);
  for (let pair = 0; pair < pairs; pair++) {
    distances[pair] = distance(tones, 2 * pair * frequencies, (2 * pair + 1) * frequencies, frequencies);
    const level = 2 * pair * width + frequencies;
    levels[pair] = Math.abs(rows[level]! - rows[level + width]!);
  }
  return { toneDb: quantile(distances.sort(), 0.5), levelDb: quantile(levels.sort(), 0.5) };
}

/** Root mean square of the difference of two rows. */
function distance(rows: Float32Array, one: number, other: number, width: number): number {
  let sum = 0;
  for (let index = 0; index < width; index++) sum += (rows[one + index]! - rows[other + index]!) ** 2;
  return Math.sqrt(sum / width);
}

/**
 * The farthest two of the builds that are nearest to the medians. Two builds are no farther from each other than both are from
 * the medians together, so the search goes inwards and ends where no pair can be farther.
 */
function extremesOf(tones: Float32Array, medians: readonly number[], numbers: readonly number[]): Extremes {
  const width = medians.length;
  const withMiddle = joined([tones, Float32Array.from(medians)]);
  const away = numbers
    .map((_, index) => ({ index, radius: distance(withMiddle, index * width, tones.length, width) }))
    .sort((one, other) => one.radius - other.radius)
    .slice(0, Math.max(2, Math.ceil(MIDDLE_SHARE * numbers.length)))
    .reverse();
  let best = { one: away[0]!.index, other: away[1]!.index, toneDb: -1 };
  for (let first = 0; first < away.length - 1; first++) {
    const { index: one, radius } = away[first]!;
    if (radius + away[first + 1]!.radius <= best.toneDb) break;
    for (let second = first + 1; second < away.length; second++) {
      const { index: other, radius: inner } = away[second]!;
      if (radius + inner <= best.toneDb) break;
      const toneDb = distance(tones, one * width, other * width, width);
      if (toneDb > best.toneDb) best = { one, other, toneDb };
    }
  }
  return { numbers: [numbers[best.one]!, numbers[best.other]!], toneDb: best.toneDb };
}
