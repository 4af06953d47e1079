import { describe, expect, it } from 'vitest';
import { CIRCUITS } from '../../engine/circuits/circuits.ts';
import { randomBuild } from '../random-builds/random-build.ts';
import { tryBuild } from '../random-builds/trial.ts';

describe('random builds', () => {
  it('play, or are refused with a sentence that says why: two hundred of them', () => {
    let played = 0;
    for (let seed = 1; seed <= 200; seed++) {
      const outcome = tryBuild(randomBuild(seed), { sampleRateHz: 4 * 48_000, seconds: 0.02 });
      expect(outcome.kind === 'failed' ? outcome.why : '', `seed ${seed}`).toBe('');
      if (outcome.kind === 'played') played++;
    }
    // In trials, two in three played.
    expect(played).toBeGreaterThan(120);
  }, 240_000);

  // Newton's iteration reaches its limit in a sample of each. Its last iterate put a block at rest; its best iterate
  // does not.
  it.each([494])('continue to play where an iteration does not converge: build %i', (seed) => {
    const drawnFrom = ['soft-clip', 'clean-blend'].map((id) => CIRCUITS.get(id)!);
    const outcome = tryBuild(randomBuild(seed, drawnFrom), { sampleRateHz: 4 * 48_000, seconds: 0.1 });
    expect(outcome.kind === 'failed' ? outcome.why : outcome.kind).toBe('played');
  });

  it('are the same for the same seed and of all kinds', () => {
    expect(randomBuild(5)).toEqual(randomBuild(5));
    const builds = Array.from({ length: 200 }, (_, seed) => randomBuild(seed));
    const settings = builds.flatMap(({ parts }) => Object.values(parts));
    for (const fit of ['open', 'bridged']) expect(settings.some((setting) => setting.fit === fit)).toBe(true);
    expect(settings.some(({ piggyback }) => piggyback !== undefined)).toBe(true);
    expect(new Set(settings.map(({ count }) => count)).size).toBe(6);
    expect(new Set(builds.map(({ bypass }) => bypass)).size).toBe(3);
  });
});
