import { describe, expect, it } from 'vitest';
import { bandLevels, THIRD_OCTAVES } from '../../engine/analysis/band-levels.ts';
import type { SoundMeasurement } from '../../engine/analysis/build-measurement.ts';
import { RESPONSE_HZ } from '../../engine/analysis/build-measurement.ts';
import {
  atCommonRate,
  inOrder,
  measurePresent,
  type RankedCandidate,
  type RankSettings,
  rankCandidate,
  rateNeed,
} from '../../engine/analysis/rank.ts';
import { candidatesFor } from '../../engine/analysis/rank-candidates.ts';
import { soundDifference } from '../../engine/analysis/sound-difference.ts';
import { pluckedString } from '../../engine/audio/plucked-string.ts';
import type { Build, PartSetting } from '../../engine/builds/build.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { networkAtSpread, partSpread } from '../../engine/builds/part-spread.ts';
import type { DiodeData } from '../../engine/devices/diode.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import type { Network } from '../../engine/network/network.ts';
import { typesOf } from '../../engine/parts/catalogue.ts';
import { forwardVoltage } from '../../engine/parts/diode-curve.ts';
import { typeSpread } from '../../engine/parts/type-spread.ts';
import { presetBuild } from '../preset-build.ts';
import { sine } from './audio-signals.ts';

const RATE_HZ = 48_000;
const PLAIN = presetBuild('soft-plain');
const TEMPERATURE_K = 300.15;

const withPart = (build: Build, ref: string, setting: PartSetting): Build => ({
  ...build,
  parts: { ...build.parts, [ref]: setting },
});

describe('the candidates for a part', () => {
  const texts = (ref: string, text?: string, build = PLAIN) =>
    candidatesFor(build, ref.split(','), text).map((candidate) => candidate.text);

  it('are all types of the kind except the present one, with the same count', () => {
    expect(texts('D1')).toEqual(typesOf('diode').filter((type) => type !== '1N4148'));
    const two = withPart(PLAIN, 'D1', { type: '1N4148', count: 2 });
    expect(texts('D1', undefined, two)).toContain('2x 1N34A');
    expect(texts('U1')).toContain('TL072');
    expect(texts('Q1')).not.toContain('J201');
  });

  it('are the values of a series in a range, including its ends', () => {
    // IEC 60063, E12 from 10 to 47
    expect(texts('C3', 'E12 10n..47n')).toEqual(['10n', '12n', '15n', '18n', '22n', '27n', '33n', '39n']);
    expect(texts('R4', 'E6 1k .. 10k')).toEqual(['1k', '1k5', '2k2', '3k3', '6k8', '10k']);
  });

  it('are E6 from a tenth to ten times the value if nothing is given', () => {
    expect(texts('C3')).toEqual([
      '4n7',
      '6n8',
      '10n',
      '15n',
      '22n',
      '33n',
      '68n',
      '100n',
      '150n',
      '220n',
      '330n',
      '470n',
    ]);
  });

  it('are the typed list', () => {
    expect(texts('D1', '1N34A, 2x 1N4148, open')).toEqual(['1N34A', '2x 1N4148', 'not fitted']);
    expect(texts('VR2', 'linear, 25k, 25k audio-15')).toHaveLength(3);
  });

  it('are refused with a sentence if there are none', () => {
    expect(() => texts('D1', '1N4148')).toThrow(/D1.*nothing to try/);
    expect(() => texts('D9')).toThrow(/no part D9/);
    expect(() => texts('D1', 'E12 1n..2n')).toThrow(/D1 has types/);
    expect(() => texts('C3', 'E12 1n..lots')).toThrow(/C3.*lots/);
    expect(() => texts('C3', 'E12 2n..1n')).toThrow(/backwards/);
    expect(() => texts('D1', '1N999999')).toThrow(/1N999999/);
  });
});

describe('the spread of a part', () => {
  it('has a source or states that it has none, for every type and kind', () => {
    for (const kind of ['diode', 'npn', 'pnp', 'nJfet', 'pJfet', 'nMosfet', 'opamp', 'converter'] as const) {
      for (const type of typesOf(kind)) {
        const { source, low, high, text } = typeSpread(kind, type);
        expect(source.length, type).toBeGreaterThan(5);
        expect(text.length, type).toBeGreaterThan(5);
        expect(low, type).toBeLessThan(high);
      }
    }
  });

  it('of two published 1N34A cards is the 40 mV between them', () => {
    // From the published model cards: 0.2529 V and 0.2934 V at 1 mA, 27 °C
    expect(typeSpread('diode', '1N34A')).toMatchObject({ low: -0.04, high: 0.04 });
    expect(1000 * (0.2934 - 0.2529)).toBeCloseTo(40.5, 6);
  });

  it('comes from the datasheet where the datasheet has both limits', () => {
    // Fairchild 1N914B: 0.62 to 0.72 V at 5 mA
    const { low, high } = typeSpread('diode', '1N914B');
    expect(high - low).toBeCloseTo(0.1, 12);
    // onsemi 2N5088: hFE 300 to 900 at 100 uA
    expect(typeSpread('npn', '2N5088').text).toBe('current gain 300 to 900');
    // Vishay 70233 rev G: J201 V_GS(off) -0.3 to -1.5 V
    const { low: least, high: most } = typeSpread('nJfet', 'J201');
    expect(-0.6 * least).toBeCloseTo(-0.3, 12);
    expect(-0.6 * most).toBeCloseTo(-1.5, 12);
  });

  it('changes the forward voltage of the part itself and of no other part', () => {
    const build = withPart(PLAIN, 'D1', { type: '1N34A' });
    const network = networkOf(build, NOMINAL_TEMPERATURE_K);
    const data = (of: Network, ref: string): DiodeData => {
      const found = of.primitives.find((primitive) => primitive.ref === ref);
      if (found?.kind !== 'diode') throw new Error(`no diode ${ref}`);
      return found.data;
    };
    for (const [end, volts] of [
      ['low', -0.04],
      ['high', 0.04],
    ] as const) {
      const moved = networkAtSpread(build, network, ['D1'], end);
      const at = (of: Network) => forwardVoltage(data(of, 'D1'), 1e-3, TEMPERATURE_K);
      // ln(I/I_S + 1) is not quite ln(I/I_S) at I_S = 2.6 uA: 0.1 mV
      expect(Math.abs(at(moved) - at(network) - volts)).toBeLessThan(3e-4);
      expect(data(moved, 'D2')).toEqual(data(network, 'D2'));
    }
  });

  it('changes values, gains, thresholds and op-amps', () => {
    const changed = (build: Build, ref: string) => {
      const network = networkOf(build, NOMINAL_TEMPERATURE_K);
      const high = networkAtSpread(build, network, [ref], 'high');
      return high.primitives.filter((primitive, index) => primitive !== network.primitives[index]);
    };
    expect(changed(PLAIN, 'R4')).toMatchObject([{ ref: 'R4', ohms: 4700 * 1.01 }]);
    expect(changed(PLAIN, 'C3')).toMatchObject([{ ref: 'C3', farads: 47e-9 * 1.1 }]);
    expect(changed(PLAIN, 'VR1').map(({ ref }) => ref)).toEqual(['VR1 ccw', 'VR1 cw']);
    expect(changed(PLAIN, 'U1').map(({ ref }) => ref)).toEqual(['U1A', 'U1B']);
    expect(changed(PLAIN, 'Q1')).toMatchObject([
      { ref: 'Q1', data: { forwardBeta: expect.closeTo(900, 9) } },
    ]);
    const zener = withPart(PLAIN, 'D1', { type: 'BZX79C5V1' });
    expect(changed(zener, 'D1').map(({ ref }) => ref)).toEqual(['D1 breakdown']);
    expect(() => partSpread(PLAIN, 'D9')).toThrow(RangeError);
  });
});

describe('the difference of two sounds', () => {
  const measured = (
    outputV: Float64Array,
    loudnessDb: number,
    responseDb = RESPONSE_HZ.map(() => 0),
  ): SoundMeasurement => ({
    outputV,
    loudnessDb,
    responseDb,
    bandsDb: bandLevels(outputV, RATE_HZ, THIRD_OCTAVES),
    failures: 0,
    resets: 0,
  });
  const mix = (levels: readonly number[]) => {
    const parts = [200, 1000, 4000].map((hz, index) => sine(RATE_HZ, hz, RATE_HZ, levels[index]));
    return parts[0]!.map((value, n) => value + parts[1]![n]! + parts[2]![n]!);
  };

  it('is zero except for loudness where only the level differs', () => {
    const difference = soundDifference(
      measured(mix([1, 1, 1]), 0),
      measured(mix([2, 2, 2]), 20 * Math.log10(2)),
      RATE_HZ,
    );
    expect(difference.loudnessLu).toBeCloseTo(6.0206, 4);
    expect(difference.spectrumDb).toBeLessThan(1e-9);
    expect(difference.nullDb).toBeLessThan(-150);
  });

  it('is given for each band after the level match', () => {
    const { bands, response } = soundDifference(
      measured(mix([1, 1, 1]), 0),
      measured(
        mix([1, 2, 0.5]),
        1,
        RESPONSE_HZ.map((hz) => (hz > 15_000 ? -3 : 0.5)),
      ),
      RATE_HZ,
    );
    const at = (wanted: number) => bands.find(({ hz }) => hz === wanted)!.differenceDb;
    // The tones have no window, so each leaks a little into the bands of the others.
    expect(at(200)).toBeCloseTo(-1, 2);
    expect(at(1000)).toBeCloseTo(6.0206 - 1, 2);
    expect(at(4000)).toBeCloseTo(-6.0206 - 1, 2);
    expect(response.differenceDb).toBe(-3);
    expect(response.hz).toBeGreaterThan(15_000);
    // Bands 60 dB below the loudest are not used: the leakage of the tones, 1/(π·distance in lines), is so low only
    // at the ends.
    expect(bands.length).toBeLessThan(THIRD_OCTAVES.length);
    expect(bands.some(({ hz }) => hz < 30)).toBe(false);
  });
});

describe('ranking', () => {
  const pluck = pluckedString({
    frequencyHz: 110,
    seconds: 0.5,
    sampleRateHz: RATE_HZ,
    decaySeconds: 3,
    pickPosition: 0.2,
    seed: 1,
  });
  const settings: RankSettings = {
    around: {},
    temperatureK: 300.15,
    build: PLAIN,
    refs: ['D1'],
    input: {
      inputV: pluck.map((sample) => 0.2 * sample),
      sampleRateHz: RATE_HZ,
      factor: 2,
      quality: 'linear-phase',
    },
  };

  it('ranks a LED above another silicon diode, and finds no difference for the same card under another number', () => {
    const present = measurePresent(settings);
    const candidates = candidatesFor(PLAIN, ['D1'], '1N914, LED-red, 1N4001');
    const ranked = inOrder(candidates.map((candidate) => rankCandidate(settings, present, candidate)));
    expect(ranked.map(({ text }) => text)).toEqual(['1N914', 'LED-red', '1N4001']);
    const [same, led, rectifier] = ranked as readonly RankedCandidate[];
    // No document gives a second point of its curve, so it stands after the others although it differs more.
    expect(rectifier!.notRanked).toBe('1N4001 has no source for 2 points of its curve');
    // One curve for the class of small switching diodes.
    expect(same!.difference).toMatchObject({ loudnessLu: 0, spectrumDb: 0 });
    expect(same!.verdict).toBe('none');
    expect(led!.verdict).toBe('differs');
    expect(rectifier!.verdict).toBe('not ranked');
    // One direction is still silicon, the other clips at three times the voltage: louder, and even harmonics.
    expect(led!.difference.loudnessLu).toBeGreaterThan(1);
    expect(led!.harmonics[1]!.relativeDb[0]).toBeGreaterThan(rectifier!.harmonics[1]!.relativeDb[0]! + 6);
    expect(led!.difference.nullDb).toBeGreaterThan(rectifier!.difference.nullDb);
    expect(present.ownSpread.spread.text).toContain('20 mV');
    expect(present.ownSpread.high.loudnessLu).toBeGreaterThan(0);
    expect(present.ownSpread.low.loudnessLu).toBeLessThan(0);
  }, 120_000);

  it('compares all at one rate at which no error need be reported, as far as a rate helps', () => {
    const inputV = settings.input.inputV.slice(0, 0.2 * RATE_HZ);
    const slow = { ...settings, input: { ...settings.input, inputV, factor: 1 } } as const;
    const [open, schottky] = candidatesFor(PLAIN, ['D1'], 'open, BAT46');
    const needs = [rateNeed(slow), rateNeed(slow, open), rateNeed(slow, schottky)];
    const common = atCommonRate(slow, needs);
    expect(common.input.factor).toBe(Math.max(...needs.map((need) => need!.factor)));
    expect(common.input.factor).toBeGreaterThan(1);
    // Estimated anew at that rate: nothing to report.
    const present = measurePresent(common);
    expect(present.measurement.warnings).toEqual([]);
    const at1x = measurePresent(slow).measurement.warnings;
    expect(at1x).toEqual([expect.stringMatching(/^The solver may be off by/)]);
  }, 120_000);

  it('does not ask for a rate where a candidate cannot be played', () => {
    const [open] = candidatesFor(PLAIN, ['R5'], 'open');
    const there = { ...settings, refs: ['R5'] };
    expect(rateNeed(there, open)).toBeUndefined();
    expect(atCommonRate(there, [undefined]).input.factor).toBe(2);
  });

  it('states the spread of each candidate on request', () => {
    const present = measurePresent(settings);
    const [candidate] = candidatesFor(PLAIN, ['D1'], '1N34A');
    const ranked = rankCandidate({ ...settings, withSpread: true }, present, candidate!) as RankedCandidate;
    expect(ranked.ownSpread!.spread.text).toContain('40 mV');
    expect(ranked.ownSpread!.high.spectrumDb).toBeGreaterThan(0);
  });

  it('puts a candidate that cannot be played last, with the reason', () => {
    const there = { ...settings, refs: ['R5'] };
    const present = measurePresent(there);
    const candidates = candidatesFor(PLAIN, ['R5'], 'open, 22k');
    const ranked = inOrder(candidates.map((candidate) => rankCandidate(there, present, candidate)));
    expect(ranked[1]).toMatchObject({ text: 'not fitted', problem: expect.stringMatching(/no DC path/) });
  });
});
