import { describe, expect, it } from 'vitest';
import { renderOffline } from '../../engine/analysis/offline-render.ts';
import { playedGainDb, unityOf } from '../../engine/analysis/unity.ts';
import { pluckedPhrase } from '../../engine/audio/plucked-string.ts';
import { loudnessReadings } from '../../engine/audio/programme-loudness.ts';
import { bypassedNetworkOf } from '../../engine/builds/bypassed-network.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { withPart } from '../../engine/builds/part-figures.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import type { Network } from '../../engine/network/network.ts';
import { presetBuild } from '../preset-build.ts';

const RATE_HZ = 48_000;
const conditions = { temperatureK: NOMINAL_TEMPERATURE_K, hasStandIn: false, around: {} };

/** Loudness of another phrase than the one with which unity is found: another seed, with its own render. */
function loudness(network: Network): number {
  const inputV = pluckedPhrase({ sampleRateHz: RATE_HZ, peakVolts: 0.3, seed: 11 });
  const { outputV } = renderOffline(network, inputV, {
    factor: 8,
    quality: 'linear-phase',
    sampleRateHz: RATE_HZ,
  });
  return loudnessReadings([outputV], RATE_HZ).integratedLufs;
}

describe('unity gain', () => {
  it.each(['soft-plain', 'clean-plain'])('of %s is where it plays as loud as its bypass', (name) => {
    const build = presetBuild(name);
    const { rotation } = unityOf(build, conditions);
    const turned = { ...build, knobs: { ...build.knobs, output: rotation! } };
    const difference =
      loudness(networkOf(turned, NOMINAL_TEMPERATURE_K)) -
      loudness(bypassedNetworkOf(build, NOMINAL_TEMPERATURE_K));
    // other strings than those with which it was found, and the output's load on the stages before it
    expect(Math.abs(difference)).toBeLessThan(0.5);
  });

  it('does not exist for a build that cannot be loud enough, and the message says by how much', () => {
    const quiet = withPart(presetBuild('soft-plain'), 'R11', { value: '4M7' });
    const { rotation, headroomDb } = unityOf(quiet, conditions);
    expect(rotation).toBeUndefined();
    // 100k behind 4M7 reduces by 33.6 dB a level of about 9 dB
    expect(headroomDb).toBeLessThan(-20);
  });
});

/** Each function is the excess over a bypass by its own formula, so the gain where it is zero is known. */
describe('the search for equal loudness ahead of another drive', () => {
  const search = (excessAt: (gainDb: number) => number) => {
    let count = 0;
    const found = playedGainDb((gainDb) => {
      count++;
      return excessAt(gainDb);
    }, excessAt(0));
    return { found, count };
  };

  it('takes few renders where the drive takes a share of each change', () => {
    for (const [headroom, share] of [
      [4, 0.3],
      [0.5, 0.1],
      [15, 0.9],
    ] as const) {
      const { found, count } = search((gainDb) => headroom + share * gainDb);
      expect(Math.abs(headroom + share * found)).toBeLessThan(0.05);
      expect(count).toBeLessThan(5);
    }
  });

  it('holds where the drive hides the gain over twenty decibels', () => {
    // Flat down to −20 dB, even a little louder there, then decibel for decibel: zero at −26 dB.
    const { found, count } = search((gainDb) => (gainDb > -20 ? 6 - 0.02 * gainDb : 26 + gainDb));
    expect(found).toBeCloseTo(-26, 1);
    expect(count).toBeLessThan(11);
  });
});
