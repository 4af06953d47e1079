import { describe, expect, it } from 'vitest';
import { buildParts } from '../../engine/builds/build.ts';
import { readDrawer } from '../../engine/builds/drawer-file.ts';
import { dialled } from '../../ui/hands/dials.ts';
import type { BenchState } from '../../ui/state/bench-state.ts';
import { partStep } from '../../ui/state/chosen-parts.ts';
import { lackingText, offeredAt, whyNotOwned } from '../../ui/state/owned-parts.ts';
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

  it('lets no blind test begin between parts that are not owned', () => {
    expect(whyNotOwned(bench(true))).toBeUndefined();
    expect(whyNotOwned(bench(true, '50 1N4148\n1 red LED'))).toBe(
      '“Only what I own” is on. B: LED-red diode: this build needs 2, you own 1.',
    );
    expect(whyNotOwned(bench(false, '1 red LED'))).toBeUndefined();
  });
});
