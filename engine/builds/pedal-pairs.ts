import { isSameCircuit } from '../circuits/circuit.ts';
import type { Chain, ChainPedal } from './chain.ts';
import { swapsBetween } from './swaps.ts';

/** Positions of a pedal of one chain and of its counterpart in the other, from 0. */
export type PedalPair = readonly [a: number, b: number];

/** The pedals of two chains set against each other; each pedal stands in one of the lists. */
export interface PedalPairs {
  /** In the order of A's signal. */
  readonly both: readonly PedalPair[];
  readonly onlyA: readonly number[];
  readonly onlyB: readonly number[];
}

/**
 * Sets pedals of one circuit against each other wherever they stand; of several the pairs with fewest swaps, then those at the
 * same position. What is left is compared where both chains have it at the same position. The same pairs in either order of
 * the chains.
 */
export function pedalPairs(a: Chain, b: Chain): PedalPairs {
  const [one, other] = [a.pedals, b.pedals];
  const alike = one.flatMap((pedal, index) =>
    one.findIndex((each) => isLike(each, pedal)) === index ? pairsOfCircuit(one, other, pedal) : [],
  );
  const isPaired = (index: number, side: 0 | 1) => alike.some((pair) => pair[side] === index);
  const left = (pedals: readonly ChainPedal[], side: 0 | 1) =>
    pedals.flatMap((_, index) => (isPaired(index, side) ? [] : [index]));
  const [leftA, leftB] = [left(one, 0), left(other, 1)];
  const placed = leftA.filter((index) => leftB.includes(index));
  return {
    both: [...alike, ...placed.map((index): PedalPair => [index, index])].sort(([i], [j]) => i - j),
    onlyA: leftA.filter((index) => !placed.includes(index)),
    onlyB: leftB.filter((index) => !placed.includes(index)),
  };
}

/** Whether pedals of both chains stand in another order. */
export function isOtherOrder({ both }: PedalPairs): boolean {
  return both.some(([, b], index) => index > 0 && b < both[index - 1]![1]);
}

export function isLike(one: ChainPedal, other: ChainPedal): boolean {
  return isSameCircuit(one.build.circuit, other.build.circuit);
}

function pairsOfCircuit(
  one: readonly ChainPedal[],
  other: readonly ChainPedal[],
  like: ChainPedal,
): readonly PedalPair[] {
  const of = (pedals: readonly ChainPedal[]) =>
    pedals.flatMap((pedal, index) => (isLike(pedal, like) ? [index] : []));
  const [inA, inB] = [of(one), of(other)];
  const ways = waysToPair(inA, inB);
  if (ways.length < 2) return ways[0] ?? [];
  const swaps = ([i, j]: PedalPair) => swapsBetween(one[i]!.build, other[j]!.build).length;
  const moved = ([i, j]: PedalPair) => Math.abs(i - j);
  return best(ways, [swaps, moved]);
}

/** All sets of pairs in which nobody who could have a counterpart is without one; six at most, of three pedals each. */
function waysToPair(inA: readonly number[], inB: readonly number[]): readonly (readonly PedalPair[])[] {
  if (inA.length > inB.length)
    return waysToPair(inB, inA).map((way) => way.map(([b, a]): PedalPair => [a, b]));
  const [first, ...rest] = inA;
  if (first === undefined) return [[]];
  return inB.flatMap((partner) => {
    const others = inB.filter((each) => each !== partner);
    return waysToPair(rest, others).map((way): readonly PedalPair[] => [[first, partner], ...way]);
  });
}

/** The way with the lowest sum; of equal sums that with the lowest next sum. */
function best(
  ways: readonly (readonly PedalPair[])[],
  costs: readonly ((pair: PedalPair) => number)[],
): readonly PedalPair[] {
  let left = ways;
  for (const cost of costs) {
    const sums = left.map((way) => way.reduce((sum, pair) => sum + cost(pair), 0));
    const lowest = Math.min(...sums);
    left = left.filter((_, index) => sums[index] === lowest);
  }
  return left[0]!;
}
