import { COMMON_SHARE } from '../builds/deviations.ts';
import { ORDERS } from './polynomial-sums.ts';
import type { SpreadCause, SpreadChunk } from './spread-run.ts';

/** How much of a difference one part causes. */
export interface CauseShare {
  readonly label: string;
  readonly text: string;
  /** Share of the variance that is gone once this part is measured. */
  readonly share: number;
}

/** The parts that cause a difference. */
export interface Explained {
  /** Builds that work, and whether they differ at all. */
  readonly found: number;
  readonly differs: boolean;
  /** The largest shares first. They can add up to more than 1, since measuring one part also tells of its batch. */
  readonly shares: readonly CauseShare[];
  /** The few parts whose measuring takes away most of the variance, and how much together; none below LEAST_BUILDS. */
  readonly measure: { readonly labels: readonly string[]; readonly share: number };
}

/** With fewer builds than this, chance moves the shares of parts by as much as they differ. */
export const LEAST_BUILDS = 1000;
/**
 * A squared correlation counts from this divided by the number of builds: 3.5 standard errors of that of two independent
 * deviates, 1/√n. Of all polynomials of 40 parts, chance gets one past that in one of thirteen runs.
 */
const CHANCE = 3.5 ** 2;
/** That much taken away is most of it. */
const ENOUGH = 0.8;
/** More parts than that nobody measures. */
const MOST_MEASURED = 5;
/** A part that takes away less than that is not worth measuring. */
const WORTH_MEASURING = 0.02;
/** Shares that are listed, and how many. */
const LEAST_SHARE = 0.01;
const MOST_LISTED = 12;
/** A variance below this share of the squared figure, or below this, is rounding. */
const ROUNDING = 1e-12;
const LEAST_VARIANCE = 1e-18;

interface Sums {
  readonly causes: readonly SpreadCause[];
  readonly chunks: readonly Pick<SpreadChunk, 'products' | 'polynomials'>[];
  readonly found: number;
  /** Of each column. */
  readonly moments: readonly Moments[];
}

/** Columns whose variances are added. */
export interface CauseGroup {
  readonly first: number;
  readonly count: number;
  /** The columns are taken less their mean in each build; then with the sum of their variances. */
  readonly isTone?: boolean;
  readonly variance?: number;
}

export interface Moments {
  readonly printed: number;
  readonly mean: number;
  readonly deviation: number;
}

/**
 * The causes of the variance of some columns together.
 *
 * The share of a part is its first-order index, Var(E[y|z])/Var(y) with z its normal deviate, by the first orthonormal
 * polynomials of z: the squares of their correlations with y, less what chance gives. For several parts it is the part of the
 * variance that the best sum of these polynomials leaves out; the products of two deviates with a common half have the
 * expectation ρᵏ in order k (Mehler's formula).
 *
 * @see I. M. Sobol, Math. Comput. Simul. 55 (2001), 271
 */
export function causesOf({ causes, chunks, found, moments }: Sums): (of: CauseGroup) => Explained {
  const products = summed(chunks.map((chunk) => chunk.products));
  const polynomials = summed(chunks.map((chunk) => chunk.polynomials));
  const [count, width] = [causes.length, moments.length];
  const covariance = (order: number, cause: number, column: number) => {
    const at = order * count + cause;
    return products[at * width + column]! / found - (polynomials[at]! / found) * movedOf(moments[column]!);
  };
  return ({ first, count: columns, variance, isTone }) => {
    const range = Array.from({ length: columns }, (_, index) => first + index);
    const total = variance ?? range.reduce((sum, column) => sum + moments[column]!.deviation ** 2, 0);
    const scale = range.reduce((sum, column) => sum + moments[column]!.mean ** 2, 0);
    const own = isTone ? withoutMean(covariance, range, count) : covariance;
    const differs = found >= 2 && total > ROUNDING * scale + LEAST_VARIANCE;
    if (!differs) return { found, differs, shares: [], measure: NOTHING };
    const taken = ordersBeyondChance({ causes, range, covariance: own, total, found });
    const shareOf = (chosen: readonly number[]) =>
      explainedShare({ causes, chosen, range, covariance: own, total, found, taken });
    const shares = causes.map((cause, index) => ({ index, cause, share: shareOf([index]) }));
    const largest = shares.sort((one, other) => other.share - one.share);
    const candidates = largest.slice(0, MOST_LISTED).map(({ index }) => index);
    return {
      found,
      differs,
      shares: largest
        .filter(({ share }) => share >= LEAST_SHARE)
        .slice(0, MOST_LISTED)
        .map(({ cause: { label, text }, share }) => ({ label, text, share })),
      measure: found < LEAST_BUILDS ? NOTHING : fewParts(causes, candidates, shareOf),
    };
  };
}

const NOTHING = { labels: [], share: 0 };

type Covariance = (order: number, cause: number, column: number) => number;

function withoutMean(covariance: Covariance, range: readonly number[], causes: number): Covariance {
  const means = Array.from({ length: ORDERS * causes }, (_, at) => {
    const [order, cause] = [Math.floor(at / causes), at % causes];
    return range.reduce((total, column) => total + covariance(order, cause, column), 0) / range.length;
  });
  return (order, cause, column) => covariance(order, cause, column) - means[order * causes + cause]!;
}

const movedOf = ({ mean, printed }: Moments) => mean - printed;

/** Shares that say something: none where the builds are too few. */
export function sharesToShow({ found, shares }: Explained): readonly CauseShare[] {
  return found < LEAST_BUILDS ? [] : shares;
}

/** Adds the part that takes away most, until it is enough. */
function fewParts(
  causes: readonly SpreadCause[],
  candidates: readonly number[],
  shareOf: (chosen: readonly number[]) => number,
): Explained['measure'] {
  let chosen: readonly number[] = [];
  let share = 0;
  while (share < ENOUGH && chosen.length < Math.min(MOST_MEASURED, candidates.length)) {
    const tries = candidates
      .filter((each) => !chosen.includes(each))
      .map((each) => ({ each, share: shareOf([...chosen, each]) }));
    const best = tries.reduce((most, one) => (one.share > most.share ? one : most));
    if (best.share < share + WORTH_MEASURING) break;
    chosen = [...chosen, best.each];
    share = best.share;
  }
  return { labels: chosen.map((each) => causes[each]!.label), share };
}

interface Estimate {
  readonly causes: readonly SpreadCause[];
  readonly range: readonly number[];
  readonly covariance: Covariance;
  readonly total: number;
  readonly found: number;
}

/** By order, the causes that explain more with their polynomial of that order than chance would. */
function ordersBeyondChance({
  causes,
  range,
  covariance,
  total,
  found,
}: Estimate): readonly ReadonlySet<number>[] {
  const explains = (order: number, cause: number) =>
    range.reduce((sum, column) => sum + covariance(order, cause, column) ** 2, 0) / total;
  return Array.from(
    { length: ORDERS },
    (_, order) => new Set([...causes.keys()].filter((cause) => explains(order, cause) > CHANCE / found)),
  );
}

interface Wanted extends Estimate {
  readonly chosen: readonly number[];
  readonly taken: readonly ReadonlySet<number>[];
}

function explainedShare({ causes, chosen: all, range, covariance, total, found, taken }: Wanted): number {
  let explained = 0;
  let count = 0;
  for (let order = 0; order < ORDERS; order++) {
    const chosen = all.filter((cause) => taken[order]!.has(cause));
    count += chosen.length;
    const gram = chosen.map((one) =>
      chosen.map((other) => correlation(causes[one]!, causes[other]!, one === other) ** (order + 1)),
    );
    const lower = cholesky(gram);
    for (const column of range) {
      const solved = forward(
        lower,
        chosen.map((cause) => covariance(order, cause, column)),
      );
      explained += solved.reduce((sum, value) => sum + value * value, 0);
    }
  }
  // By chance alone each polynomial explains one part in `found`.
  return Math.min(1, Math.max(0, explained / total - count / found));
}

/** Of the deviates of two causes. */
function correlation(one: SpreadCause, other: SpreadCause, isSame: boolean): number {
  if (isSame) return 1;
  if (one.batchKey === undefined || one.batchKey !== other.batchKey) return 0;
  return COMMON_SHARE / (one.sigma * other.sigma);
}

function cholesky(matrix: readonly (readonly number[])[]): readonly (readonly number[])[] {
  const lower: number[][] = [];
  for (const [row, entries] of matrix.entries()) {
    const own: number[] = [];
    for (let column = 0; column <= row; column++) {
      const above = lower[column] ?? own;
      let rest = entries[column]!;
      for (let index = 0; index < column; index++) rest -= own[index]! * above[index]!;
      own.push(column === row ? Math.sqrt(Math.max(rest, 1e-12)) : rest / above[column]!);
    }
    lower.push(own);
  }
  return lower;
}

function forward(lower: readonly (readonly number[])[], right: readonly number[]): readonly number[] {
  const solved: number[] = [];
  for (const [row, entries] of lower.entries()) {
    let rest = right[row]!;
    for (let index = 0; index < row; index++) rest -= entries[index]! * solved[index]!;
    solved.push(rest / entries[row]!);
  }
  return solved;
}

function summed(parts: readonly Float64Array[]): Float64Array {
  const sum = new Float64Array(parts[0]?.length ?? 0);
  for (const part of parts) for (let index = 0; index < sum.length; index++) sum[index]! += part[index]!;
  return sum;
}
