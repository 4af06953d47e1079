import { describe, expect, it } from 'vitest';
import { EMPTY_DRAWER } from '../../engine/builds/drawer.ts';
import { readDrawer } from '../../engine/builds/drawer-file.ts';
import {
  neighbours,
  type SweepSubject,
  sweepAction,
  sweepOffer,
  sweepValue,
} from '../../ui/ear/part-sweep.ts';
import type { BenchState } from '../../ui/state/bench-state.ts';
import { presetBuild } from '../preset-build.ts';

const part: SweepSubject = { kind: 'part', slot: 'a', ref: 'R4', quantity: 'ohms' };
const knob: SweepSubject = { kind: 'knob', slot: 'b', name: 'tone' };
const plain = presetBuild('soft-plain');
const bench = {
  builds: { a: plain, b: plain },
  series: 'E12',
  drawer: EMPTY_DRAWER,
} as unknown as BenchState;

describe('a sweep', () => {
  it('changes a value from low to high by equal ratios, and back: halfway through two decades it is one decade up', () => {
    const range = { from: 470, to: 47_000, seconds: 10 };
    expect(sweepValue(part, range, 0)).toBe(470);
    expect(sweepValue(part, range, 5)).toBeCloseTo(4700, 6);
    expect(sweepValue(part, range, 10)).toBeCloseTo(47_000, 6);
    expect(sweepValue(part, range, 15)).toBeCloseTo(4700, 6);
    expect(sweepValue(part, range, 20)).toBeCloseTo(470, 6);
  });

  it('turns a knob by equal angles, only in its own build', () => {
    expect(sweepValue(knob, { from: 0, to: 1, seconds: 4 }, 1)).toBe(0.25);
    expect(sweepAction(bench, knob, 0.2549)).toEqual({
      type: 'turnKnob',
      slot: 'b',
      name: 'tone',
      rotation: 0.25,
      isAlone: true,
    });
  });

  it('uses values that can be made from E192 parts: 4k99 near 5k (IEC 60063)', () => {
    expect(sweepAction(bench, part, 5000)).toMatchObject({ type: 'setPart', setting: { value: '4k99' } });
  });

  it('stops only at what is owned, where only that is offered', () => {
    const owned = { ...bench, drawer: { items: readDrawer('2x 2k2\n2x 6k8').items, isOnly: true } };
    const offered = sweepOffer(owned, part);
    const at = (ohms: number) => sweepAction(owned, part, ohms, offered);
    // Halfway between both by ratio is 3868 Ω.
    expect([at(500), at(3800), at(3900), at(50_000)]).toMatchObject(
      ['2k2', '2k2', '6k8', '6k8'].map((value) => ({ setting: { value } })),
    );
    expect(neighbours(owned, part)).toEqual([]);
    expect(sweepOffer(bench, part)).toBeUndefined();
    expect(sweepAction(owned, part, 1000, [])).toMatchObject({ setting: { value: '4k7' } });
  });

  it('ends at values of the chosen series', () => {
    const at = {
      ...bench,
      builds: { ...bench.builds, a: { ...plain, parts: { ...plain.parts, R4: { value: '5k11' } } } },
    };
    const values = neighbours(at, part).map((action) => action.type === 'setPart' && action.setting.value);
    expect(values).toEqual(['3k9', '4k7', '5k6']);
  });

  it('fits a removed part again, during the sweep and at its end', () => {
    const open = { ...plain, parts: { ...plain.parts, R4: { value: '4k7', fit: 'open' } as const } };
    const action = sweepAction({ ...bench, builds: { a: open, b: open } }, part, 1000);
    expect(action).toMatchObject({ setting: { value: '1k' } });
    expect(action).not.toHaveProperty('setting.fit');
    for (const next of neighbours({ ...bench, builds: { a: open, b: open } }, part))
      expect(next).not.toHaveProperty('setting.fit');
  });
});
