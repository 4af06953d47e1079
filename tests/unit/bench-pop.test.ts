import { describe, expect, it } from 'vitest';
import { followFootswitch } from '../../ui/bench-pop.ts';
import type { HeardPops } from '../../ui/plots/plot-analysis.ts';
import { analyse } from '../../ui/plots/plot-analysis.ts';
import { BenchStore } from '../../ui/state/bench-store.ts';
import { freshState } from '../../ui/state/starting-state.ts';
import type { Slot } from '../../worklets/bench-messages.ts';
import { bypassBuild } from '../bypass-parts.ts';

const POPS = analyse({
  kind: 'pop',
  build: bypassBuild('true', { R14: { value: '100k', fit: 'open' } }),
  temperatureC: 27,
  around: {},
  sampleRateHz: 48_000,
}) as HeardPops;

/** @param known Of every pedal of a side. */
function bench(known: Readonly<Partial<Record<Slot, HeardPops>>>) {
  const build = bypassBuild('true');
  const store = new BenchStore(freshState({ a: build, b: build }));
  const played: [Slot, Float64Array][] = [];
  const session = { pop: (slot: Slot, samples: Float64Array) => played.push([slot, samples]) };
  followFootswitch(store, session, (slot) => known[slot]);
  return { store, played };
}

describe('the footswitch of the bench', () => {
  it('pops in both builds, each way as its circuit does', () => {
    const { store, played } = bench({ a: POPS, b: POPS });
    store.act({ type: 'bypass', isBypassed: true });
    store.act({ type: 'bypass', isBypassed: false });
    expect(played.map(([slot]) => slot)).toEqual(['a', 'b', 'a', 'b']);
    expect(played[0]![1]).toBe(POPS.heard.bypassed);
    expect(played[2]![1]).toBe(POPS.heard.on);
    // Without its pull-down the output pops as loudly as is let through when the effect goes on, and by a third of a volt when it goes off.
    expect(Math.max(...POPS.heard.on)).toBeGreaterThan(0.9);
    expect(Math.max(...POPS.heard.bypassed.map(Math.abs))).toBeLessThan(0.5);
  });

  it('does not pop when A and B are switched, nor before it is known how', () => {
    const { store, played } = bench({ b: POPS });
    store.act({ type: 'hear', slot: 'b' });
    expect(played).toEqual([]);
    store.act({ type: 'bypass', isBypassed: true });
    expect(played.map(([slot]) => slot)).toEqual(['b']);
  });

  it('pops in a chain for the pedal that is switched, whether it is looked at or not', () => {
    const { store, played } = bench({ a: POPS, b: POPS });
    const { b } = store.state.builds;
    store.act({ type: 'addPedal', slot: 'a', index: 1, build: { ...b, title: 'Second' } });
    expect(played).toEqual([]);
    store.act({ type: 'switchPedal', slot: 'a', index: 0, isOn: false });
    store.act({ type: 'switchPedal', slot: 'a', index: 1, isOn: false });
    store.act({ type: 'switchPedal', slot: 'a', index: 0, isOn: true });
    const { on, bypassed } = POPS.heard;
    expect(played).toEqual([
      ['a', bypassed],
      ['a', bypassed],
      ['a', on],
    ]);
  });

  it('does not pop when another pedal of the same build is looked at, nor when pedals are moved', () => {
    const { store, played } = bench({ a: POPS, b: POPS });
    store.act({ type: 'addPedal', slot: 'a', index: 1, build: store.state.builds.a });
    store.act({ type: 'switchPedal', slot: 'a', index: 0, isOn: false });
    played.length = 0;
    store.act({ type: 'look', slot: 'a', index: 0 });
    store.act({ type: 'look', slot: 'a', index: 1 });
    store.act({ type: 'movePedal', slot: 'a', from: 0, to: 1 });
    expect(played).toEqual([]);
  });
});
