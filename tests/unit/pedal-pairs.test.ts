import { describe, expect, it } from 'vitest';
import type { Build } from '../../engine/builds/build.ts';
import type { Chain } from '../../engine/builds/chain.ts';
import { chainDifferences } from '../../engine/builds/chain-swaps.ts';
import { withPart } from '../../engine/builds/part-figures.ts';
import { isOtherOrder, pedalPairs } from '../../engine/builds/pedal-pairs.ts';
import { presetBuild } from '../preset-build.ts';

const soft = presetBuild('soft-plain');
const led = presetBuild('soft-led');
const lift = presetBuild('clean-midlift');
const hard = presetBuild('hard-plain');

const chain = (...builds: readonly Build[]): Chain => ({
  pedals: builds.map((build) => ({ build, isOn: true, cableMetres: 0.3 })),
});

/** The pairs of two chains; and the other way round, where they must be the same. */
function pairsOf(a: Chain, b: Chain) {
  const [there, back] = [pedalPairs(a, b), pedalPairs(b, a)];
  const turned = back.both.map(([i, j]) => [j, i]).sort(([i], [j]) => i! - j!);
  expect({ both: turned, onlyA: back.onlyB, onlyB: back.onlyA }).toEqual(there);
  return there;
}

/** Expected pairs: what a builder with the pedals on the floor would set against each other; by reasoning, no source. */
describe('pedals of two chains', () => {
  it('are set against each other at the same places where the same circuits stand there', () => {
    const pairs = pairsOf(chain(lift, soft), chain(lift, led));
    expect(pairs).toEqual({
      both: [
        [0, 0],
        [1, 1],
      ],
      onlyA: [],
      onlyB: [],
    });
    expect(isOtherOrder(pairs)).toBe(false);
  });

  it('are found by their circuit in another order', () => {
    const pairs = pairsOf(chain(lift, soft, hard), chain(hard, lift, led));
    expect(pairs).toEqual({
      both: [
        [0, 1],
        [1, 2],
        [2, 0],
      ],
      onlyA: [],
      onlyB: [],
    });
    expect(isOtherOrder(pairs)).toBe(true);
  });

  it('have one without a counterpart where one side has one more, at either end and in the middle', () => {
    expect(pairsOf(chain(lift, soft), chain(soft))).toEqual({ both: [[1, 0]], onlyA: [0], onlyB: [] });
    expect(pairsOf(chain(soft, lift), chain(soft))).toEqual({ both: [[0, 0]], onlyA: [1], onlyB: [] });
    expect(pairsOf(chain(lift, soft), chain(lift, hard, soft))).toEqual({
      both: [
        [0, 0],
        [1, 2],
      ],
      onlyA: [],
      onlyB: [1],
    });
    expect(isOtherOrder(pairsOf(chain(lift, soft), chain(lift, hard, soft)))).toBe(false);
  });

  it('are compared by their places where they have no circuit in common', () => {
    expect(pairsOf(chain(lift), chain(soft))).toEqual({ both: [[0, 0]], onlyA: [], onlyB: [] });
    expect(pairsOf(chain(lift, soft), chain(hard))).toEqual({ both: [[0, 0]], onlyA: [1], onlyB: [] });
  });

  it('are not taken from their circuit by another one at the same place', () => {
    expect(pairsOf(chain(lift, soft), chain(soft, hard))).toEqual({ both: [[1, 0]], onlyA: [0], onlyB: [1] });
  });

  it('of one circuit are paired with fewest swaps, then at the same place', () => {
    expect(pairsOf(chain(soft, led), chain(led, soft)).both).toEqual([
      [0, 1],
      [1, 0],
    ]);
    expect(pairsOf(chain(soft, soft), chain(soft, led)).both).toEqual([
      [0, 0],
      [1, 1],
    ]);
    expect(pairsOf(chain(soft, led), chain(led))).toEqual({ both: [[1, 0]], onlyA: [0], onlyB: [] });
    expect(pairsOf(chain(soft, soft, soft), chain(led, led))).toEqual({
      both: [
        [0, 0],
        [1, 1],
      ],
      onlyA: [2],
      onlyB: [],
    });
  });

  it('are told in lines, each difference once', () => {
    const swapped = withPart(soft, 'R4', { value: '10k' });
    expect(chainDifferences(chain(lift, soft), chain(swapped), undefined)).toEqual([
      `Pedal 1 only in A: ${lift.title}.`,
      'Pedal 2 of A, 1 of B: R4 4k7 to 10k',
    ]);
    expect(chainDifferences(chain(lift, soft), chain(soft, lift), undefined)).toEqual([
      'The order of the pedals.',
    ]);
  });
});
