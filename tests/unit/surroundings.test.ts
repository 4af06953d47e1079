import { describe, expect, it } from 'vitest';
import { buildNoise, noiseInputText } from '../../engine/analysis/build-noise.ts';
import type { ClippingLevel } from '../../engine/analysis/clipping-level.ts';
import { renderExcerpt } from '../../engine/analysis/excerpt.ts';
import { matchedRotation } from '../../engine/analysis/knob-match.ts';
import { renderOffline } from '../../engine/analysis/offline-render.ts';
import { measurePresent, type RankSettings, rankCandidate } from '../../engine/analysis/rank.ts';
import { candidatesFor } from '../../engine/analysis/rank-candidates.ts';
import { unityOf } from '../../engine/analysis/unity.ts';
import { pluckedPhrase } from '../../engine/audio/plucked-string.ts';
import { loudnessReadings } from '../../engine/audio/programme-loudness.ts';
import { bypassedNetworkOf } from '../../engine/builds/bypassed-network.ts';
import { USUAL_INSTRUMENT } from '../../engine/builds/instrument.ts';
import { withPart } from '../../engine/builds/part-figures.ts';
import {
  networkWithin,
  type Surroundings,
  surroundingsText,
  withSurroundings,
} from '../../engine/builds/surroundings.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import { presetBuild } from '../preset-build.ts';

const RATE_HZ = 48_000;
const temperatureK = NOMINAL_TEMPERATURE_K;
const OPEN: Surroundings = {};
const INTO_LINE: Surroundings = { load: { input: 'line', cableMetres: 3 } };
const soft = presetBuild('soft-plain');
const clean = presetBuild('clean-plain');

const cleanAtFull = { ...clean, knobs: { ...clean.knobs, output: 1 } };
const parallel = (...ohms: readonly number[]) => 1 / ohms.reduce((sum, each) => sum + 1 / each, 0);
/** Of clean-blend at full output: 560 Ω in series with 10 kΩ and 100 kΩ to ground, and the line input's 10 kΩ beside them. */
const INTO_LINE_SHARE = (() => {
  const share = (ohms: number) => ohms / (560 + ohms);
  return share(parallel(10e3, 100e3, 10e3)) / share(parallel(10e3, 100e3));
})();

function phrase(seed: number): Float64Array {
  return pluckedPhrase({ sampleRateHz: RATE_HZ, peakVolts: 0.3, seed }).subarray(0, RATE_HZ);
}

describe('a ranking', () => {
  /** Change of the response by a swap of the output capacitor to 220n: the largest, which is at 20 Hz, dB. */
  function changeDb(around: Surroundings): number {
    const settings: RankSettings = {
      build: soft,
      refs: ['C9'],
      input: { inputV: phrase(1), sampleRateHz: RATE_HZ, factor: 2, quality: 'linear-phase' },
      around,
      temperatureK,
    };
    const present = measurePresent(settings, { factor: 2, isSaid: false });
    const [candidate] = candidatesFor(soft, ['C9'], '220n');
    const ranked = rankCandidate(settings, present, candidate!, { factor: 2, isSaid: false });
    if ('problem' in ranked) throw new Error(ranked.problem);
    expect(ranked.difference.response.hz).toBeCloseTo(20, 0);
    return ranked.difference.response.differenceDb;
  }

  /** First-order high-pass at 20 Hz: 220n against 10u in series with a resistance. */
  function highPassDb(ohms: number): number {
    const gain = (farads: number) => {
      const x = 2 * Math.PI * 20 * ohms * farads;
      return x / Math.hypot(1, x);
    };
    return 20 * Math.log10(gain(220e-9) / gain(10e-6));
  }

  it('counts the next input: behind a smaller capacitor a line input of 10 kΩ takes the bass, an open output does not', () => {
    // 100 Ω and the follower's few ohms in series with 100 kΩ to ground, and 10 kΩ beside these
    expect(changeDb(OPEN)).toBeCloseTo(highPassDb(100.1e3), 0);
    expect(changeDb(INTO_LINE)).toBeCloseTo(highPassDb(100 + parallel(100e3, 10e3)), 0);
  });
});

describe('the mark of equal loudness', () => {
  const around: Surroundings = {
    instrument: { ...USUAL_INSTRUMENT, cableMetres: 6 },
    load: { input: 'amplifier', cableMetres: 12 },
  };

  function loudnessDifference(rotation: number): number {
    const turned = { ...soft, knobs: { ...soft.knobs, output: rotation } };
    const options = { factor: 8, quality: 'linear-phase', sampleRateHz: RATE_HZ } as const;
    const pedal = networkWithin(turned, temperatureK, around);
    const bypass = withSurroundings(bypassedNetworkOf(soft, temperatureK), around);
    const [on, off] = [pedal, bypass].map((network) => {
      const { outputV } = renderOffline(
        network,
        pluckedPhrase({ sampleRateHz: RATE_HZ, peakVolts: 0.3, seed: 11 }),
        options,
      );
      return loudnessReadings([outputV], RATE_HZ).integratedLufs;
    });
    return on! - off!;
  }

  it('holds with a guitar before both and both cables behind a true bypass', () => {
    const { rotation } = unityOf(soft, { temperatureK, hasStandIn: false, around });
    expect(Math.abs(loudnessDifference(rotation!))).toBeLessThan(0.5);
    const alone = unityOf(soft, { temperatureK, hasStandIn: false, around: OPEN });
    expect(Math.abs(loudnessDifference(alone.rotation!))).toBeGreaterThan(0.7);
  });
});

describe('hiss', () => {
  const noise = (around: Surroundings) =>
    buildNoise(cleanAtFull, { input: 'shorted', temperatureK, isBypassed: false, around });

  it('is divided by the next input as a signal is', () => {
    expect(noise(INTO_LINE).outputV / noise(OPEN).outputV).toBeCloseTo(INTO_LINE_SHARE, 2);
  });

  it('says what is at the input and at the output', () => {
    expect(noiseInputText('shorted', INTO_LINE)).toBe(
      'the input shorted and 3\u00a0m of cable into a line input at the output',
    );
    const instrument = { ...USUAL_INSTRUMENT, pickup: 'humbucker', cableMetres: 3 } as const;
    expect(noiseInputText('pickup', { instrument })).toBe(
      'a humbucker pickup (8k, 4.5\u00a0H, 500k volume and tone full up, 3\u00a0m of cable) at the input',
    );
  });
});

describe('an excerpt', () => {
  const peakOf = (columns: readonly (readonly ClippingLevel[])[]) => {
    const level = columns[0]?.[0];
    return level?.kind === 'from' ? level.inputPeakV : Number.NaN;
  };

  it('is played with what is around the pedal, and its clipping level stays that at the input of the pedal', () => {
    const plan = (around: Surroundings) => ({
      a: cleanAtFull,
      inputV: phrase(1),
      oversampling: { factor: 2, quality: 'linear-phase', sampleRateHz: RATE_HZ } as const,
      isRateFixed: true,
      temperatureK,
      around,
      hasStandIn: false,
      rounds: 1,
    });
    const guitar: Surroundings = { instrument: USUAL_INSTRUMENT };
    const [open, loaded, played] = [OPEN, INTO_LINE, guitar].map((each) => renderExcerpt(plan(each)));
    // the peak of an excerpt is always the same, so its gain makes up for what the load takes
    expect(loaded!.gainDb - open!.gainDb).toBeCloseTo(-20 * Math.log10(INTO_LINE_SHARE), 1);
    expect(played!.gainDb).not.toBeCloseTo(open!.gainDb, 1);
    for (const { clipping } of [loaded!, played!])
      expect(peakOf(clipping)).toBeCloseTo(peakOf(open!.clipping), 6);
  });
});

describe('a knob matched by sound', () => {
  it('goes further up where the next input loads the larger potentiometer', () => {
    const larger = withPart(clean, 'VR3', { value: '100k' });
    const at = (around: Surroundings) =>
      matchedRotation([clean, larger], 'output', 'sound', { temperatureK, around });
    expect(at(INTO_LINE)).toBeGreaterThan(at(OPEN) + 0.03);
  });
});

describe('what is around a pedal in words', () => {
  it.each<[Surroundings, string]>([
    [OPEN, 'No pickup is before the pedal, and its output is left open.'],
    [INTO_LINE, 'After the pedal 3\u00a0m of cable into a line input.'],
    [
      { instrument: USUAL_INSTRUMENT, ...INTO_LINE },
      'Before the pedal a single-coil pickup and 6\u00a0m of cable, after it 3\u00a0m of cable into a line input.',
    ],
    [
      { instrument: { ...USUAL_INSTRUMENT, volume: 0.8 } },
      'Before the pedal a single-coil pickup, volume and tone at 3:00 and 5:00, and 6\u00a0m of cable.',
    ],
  ])('%j', (around, text) => {
    expect(surroundingsText(around)).toBe(text);
  });
});
