import { describe, expect, it } from 'vitest';
import type { PedalOrder } from '../../engine/analysis/order-list.ts';
import { stockedRows } from '../../engine/analysis/order-stock.ts';
import { buildParts } from '../../engine/builds/build.ts';
import { LONE } from '../../engine/builds/chain.ts';
import { readDrawer } from '../../engine/builds/drawer-file.ts';
import { sweepAction } from '../../ui/ear/part-sweep.ts';
import { dialled } from '../../ui/hands/dials.ts';
import type { BenchState } from '../../ui/state/bench-state.ts';
import { BOTH_ALONE } from '../../ui/state/chains.ts';
import { partStep } from '../../ui/state/chosen-parts.ts';
import { pairUse } from '../../ui/state/offered-pairs.ts';
import { shownOrder, unratedOrders } from '../../ui/state/order-query.ts';
import { lackingText, offeredAt, ownedInstead, ownedLaws, whyNotOwned } from '../../ui/state/owned-parts.ts';
import { reduce } from '../../ui/state/reduce.ts';
import { firstBuilds, freshState } from '../../ui/state/starting-state.ts';

const BAGS = `50 1N4148
3 red LED
1x BAT46
10x 4k7
2x 10k
2x 2k2
1x 33k
`;
/** The first bench: A has 1N4148, B LED-red at D1 and D2. */
const bench = (isOnly: boolean, bags = BAGS): BenchState => ({
  ...freshState(firstBuilds()),
  drawer: { items: readDrawer(bags).items, isOnly },
});
const part = ({ builds }: BenchState, ref: string) =>
  buildParts(builds.a.circuit).find((each) => each.ref === ref)!;

describe('only what is owned', () => {
  it('is offered at a place: as often as the group and the rest of the build need it', () => {
    const state = bench(true);
    // D1 and D2 change together: one BAT46 is not enough, and three red LEDs are.
    expect(offeredAt(state, 'a', part(state, 'D1'))).toEqual(['1N4148', 'LED-red']);
    const alone = reduce(state, { type: 'reach', reach: { kind: 'alone' } });
    expect(offeredAt(alone, 'a', part(alone, 'D1'))).toEqual(['1N4148', 'BAT46', 'LED-red']);
    // Six other places have 10k already.
    expect(offeredAt(state, 'a', part(state, 'R4'))).toEqual(['2k2', '4k7', '33k']);
    expect(offeredAt(bench(false), 'a', part(state, 'R4'))).toBeUndefined();
  });

  it('is what the arrow keys step through, and stop at the ends', () => {
    const at = (steps: number, value: string) => {
      const state = bench(true);
      const { a, b } = state.builds;
      const build = { ...a, parts: { ...a.parts, R4: { value } } };
      return partStep({ ...state, builds: { a: build, b }, selected: 'R4' }, steps)?.setting.value;
    };
    expect(at(1, '4k7')).toBe('33k');
    expect(at(-1, '4k7')).toBe('2k2');
    // From a value that is not owned to the next one that is.
    expect(at(1, '3k9')).toBe('4k7');
    expect(at(1, '33k')).toBeUndefined();
    expect(partStep(bench(true), 1)?.setting.type).toBe('LED-red');
    expect(partStep(bench(true), -1)).toBeUndefined();
  });

  it('is what a MIDI knob turns through', () => {
    const state = bench(true);
    const turned = (amount: number) => dialled(state, 'part R4', amount);
    expect(turned(0)).toMatchObject({ setting: { value: '2k2' } });
    expect(turned(1)).toMatchObject({ setting: { value: '33k' } });
  });

  it('says at a place how many are missing, for the whole build', () => {
    const state = bench(true);
    // R3, R5, R8, R13, R15 and R16.
    expect(lackingText(state, 'a', 'R5')).toBe('10k resistor: this build needs 6, you own 2.');
    expect(lackingText(state, 'a', 'R4')).toBeUndefined();
    expect(lackingText(bench(false), 'a', 'R5')).toBeUndefined();
  });

  it('says at a typed value what is owned instead: the nearest one, and the nearest pair with what it puts in', () => {
    const at = (ref: string, value: string, bags: string) => {
      const state = bench(true, bags);
      const { a, b } = state.builds;
      const typed = { ...state, builds: { a: { ...a, parts: { ...a.parts, [ref]: { value } } }, b } };
      return ownedInstead(typed, 'a', ref);
    };
    // 2k2 and 1k5 add up to 3k7; 10k and 8k2 in parallel are 4.505 kΩ.
    expect(at('R4', '3k7', '1x 2k2\n1x 1k5')).toEqual([
      { text: '2k2', setting: { value: '2k2' } },
      { text: '2k2 and 1k5 in series (exact)' },
    ]);
    expect(at('R4', '3k9', '1x 2k2\n1x 1k5')[1]).toEqual({
      text: '2k2 and 1k5 in series (5.1 % low)',
      setting: { value: '3k7' },
    });
    expect(at('R4', '4k5', '1x 8k2\n7x 10k')).toEqual([
      { text: '8k2', setting: { value: '8k2' } },
      { text: '10k and 8k2 in parallel (0.1 % high)', setting: { value: '10k', piggyback: '8k2' } },
    ]);
    // The six 10k of the build leave none for a pair.
    expect(at('R4', '4k5', '1x 8k2\n6x 10k')).toHaveLength(1);
    expect(at('R4', '2k2', '1x 2k2')).toEqual([]);
    expect(ownedInstead(bench(false), 'a', 'R5')).toEqual([]);
  });

  it('counts a measured part as owned, and another value is not that part', () => {
    const state = bench(true, '1x 10k');
    const { a, b } = state.builds;
    const measured = { value: '9k87', piece: '10k no. 3' };
    const fitted = { ...state, builds: { a: { ...a, parts: { ...a.parts, R4: measured } }, b } };
    expect(lackingText(fitted, 'a', 'R4')).toBeUndefined();
    const subject = { kind: 'part', slot: 'a', ref: 'R4', quantity: 'ohms' } as const;
    expect(sweepAction(fitted, subject, 1000)).toMatchObject({ setting: { value: '1k' } });
    expect(sweepAction(fitted, subject, 1000)).not.toHaveProperty('setting.piece');
  });

  it('leaves the tapers in which a potentiometer is owned', () => {
    expect(ownedLaws(bench(true, 'A500k'), 'a', 'VR1')).toEqual(['audio-15', 'audio-10', 'audio-20']);
    expect(ownedLaws(bench(true, 'B500k'), 'a', 'VR1')).toEqual(['linear']);
    expect(ownedLaws(bench(false), 'a', 'VR1')).toBeUndefined();
  });

  it('lets no blind test begin between parts that are not owned', () => {
    expect(whyNotOwned(bench(true))).toBeUndefined();
    expect(whyNotOwned(bench(true, '50 1N4148\n1 red LED'))).toBe(
      '“Only what I own” is on. B: LED-red diode: this build needs 2, you own 1.',
    );
    expect(whyNotOwned(bench(false, '1 red LED'))).toBeUndefined();
  });
});

describe('a pair that the parts list offers', () => {
  const use = (state: BenchState, value: string, bags: string, slot: 'a' | 'b' = 'a') => {
    const { rows } = shownOrder(
      state,
      { a: unratedOrders(state, 'a'), b: unratedOrders(state, 'b') },
      slot,
    ) as PedalOrder;
    const row = stockedRows(rows, readDrawer(bags).items).find((each) => each.value === value)!;
    return row.pairs.map((pair) => pairUse(state, slot, row, pair));
  };

  it('goes to the places that lack a part, as a piggyback part or as the sum, and not where it changes nothing', () => {
    const state = bench(false);
    expect(use(state, '220n', '4x 120n film 63V')).toEqual([
      {
        text: 'at C5, C6 as piggyback',
        change: {
          type: 'setPart',
          slot: 'a',
          ref: 'C5',
          setting: { value: '120n', piggyback: '120n' },
          others: { C6: { value: '120n', piggyback: '120n' } },
        },
      },
    ]);
    // One of the two is owned: the second place gets the pair.
    expect(use(state, '220n', '1x 220n film\n2x 120n film 63V')[0]!.change).toMatchObject({ ref: 'C6' });
    expect(use(state, '4k7', '1x 2k4\n1x 2k2')[0]).toMatchObject({ text: 'at R4 as 4k6' });
    expect(use(state, '4k7', '1x 2k5\n1x 2k2')).toEqual([
      { text: 'R4: solder both in series; the build stays as it is.' },
    ]);
  });

  it('is not a third part at a place, and not for a pedal that is not looked at', () => {
    const { builds } = bench(false);
    const parts = { ...builds.a.parts, R4: { value: '5k1', piggyback: '62k' } };
    const full: BenchState = { ...bench(false), builds: { ...builds, a: { ...builds.a, parts } } };
    expect(use(full, '5k1', '2x 10k2')[0]!.text).toBe(
      'R4: two parts stand there already, and a build has no third.',
    );
    const chain: BenchState = {
      ...bench(false),
      places: { ...BOTH_ALONE, a: { ...LONE, before: [{ build: builds.b, isOn: true, cableMetres: 0.3 }] } },
    };
    const [first, second] = use(chain, '4k7', '1x 2k4\n1x 2k2\n2x 9k1');
    expect(first!.text).toBe('1:R4: look at that pedal to put this in.');
    expect(second).toMatchObject({ text: 'at 2:R4 as piggyback', change: { ref: 'R4', slot: 'a' } });
  });
});
