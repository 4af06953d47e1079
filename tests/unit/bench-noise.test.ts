import { afterEach, describe, expect, it, vi } from 'vitest';
import { buildNoise } from '../../engine/analysis/build-noise.ts';
import { noiseFilter } from '../../engine/analysis/noise-filter.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import type { AudioState } from '../../ui/audio/audio-state.ts';
import { followNoise } from '../../ui/bench-noise.ts';
import type { BenchState } from '../../ui/state/bench-state.ts';
import { BenchStore } from '../../ui/state/bench-store.ts';
import { freshState } from '../../ui/state/starting-state.ts';
import type { Slot } from '../../worklets/bench-messages.ts';
import { presetBuild } from '../preset-build.ts';

const start: BenchState = {
  ...freshState({ a: presetBuild('soft-plain'), b: presetBuild('soft-led') }),
  isLinked: false,
};

/** A session that only records which noise it was given. */
class Listener extends EventTarget {
  state = { sampleRateHz: 48_000 } as AudioState;
  readonly noises = new Map<Slot, Float64Array>();
  count = 0;
  setNoise(slot: Slot, coefficients: Float64Array): void {
    this.noises.set(slot, coefficients);
    this.count++;
  }
}

function filterOf(preset: string, sampleRateHz: number, isBypassed = false): Float64Array {
  const conditions = {
    input: 'pickup',
    temperatureK: NOMINAL_TEMPERATURE_K,
    isBypassed,
    around: {},
  } as const;
  return noiseFilter(buildNoise(presetBuild(preset), conditions).points, sampleRateHz).coefficients;
}

describe('the noise of the bench', () => {
  afterEach(() => {
    vi.useRealTimers();
  });

  it('is sent for both builds once it is wanted, for a build that changes, and is removed again', async () => {
    vi.useFakeTimers();
    const store = new BenchStore(start);
    const session = new Listener();
    followNoise(store, session);
    store.act({ type: 'hear', slot: 'b' });
    await vi.runAllTimersAsync();
    expect(session.count).toBe(0);

    store.act({ type: 'hearNoise', isHeard: true });
    await vi.runAllTimersAsync();
    expect(session.count).toBe(2);
    expect(session.noises.get('a')).toEqual(filterOf('soft-plain', 48_000));
    expect(session.noises.get('b')).toEqual(filterOf('soft-led', 48_000));

    store.act({ type: 'load', slot: 'b', build: presetBuild('clean-plain') });
    await vi.runAllTimersAsync();
    expect(session.count).toBe(3);
    expect(session.noises.get('b')).toEqual(filterOf('clean-plain', 48_000));

    session.state = { ...session.state, sampleRateHz: 44_100 };
    session.dispatchEvent(new Event('change'));
    await vi.runAllTimersAsync();
    expect(session.count).toBe(5);
    expect(session.noises.get('a')).toEqual(filterOf('soft-plain', 44_100));

    store.act({ type: 'bypass', isBypassed: true });
    await vi.runAllTimersAsync();
    expect(session.count).toBe(7);
    expect(session.noises.get('b')).toEqual(filterOf('clean-plain', 44_100, true));

    store.act({ type: 'hearNoise', isHeard: false });
    await vi.runAllTimersAsync();
    expect(session.count).toBe(9);
    expect([...session.noises.values()].map(({ length }) => length)).toEqual([0, 0]);
  });
});
