import { describe, expect, it } from 'vitest';
import { capacitanceRangeEffect } from '../../engine/analysis/capacitance-range-effect.ts';
import { orderRows } from '../../engine/analysis/order-list.ts';
import { candidatesFor } from '../../engine/analysis/rank-candidates.ts';
import type { Build, PartSetting } from '../../engine/builds/build.ts';
import { parseBuildFile, serialiseBuild } from '../../engine/builds/build-file.ts';
import { canonicalSetting } from '../../engine/builds/canonical-setting.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { parseSettingText, settingText, withType } from '../../engine/builds/part-setting.ts';
import { swapsBetween } from '../../engine/builds/swaps.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import { pieceNameProblem } from '../../engine/parts/piece.ts';
import { presetBuild } from '../preset-build.ts';

const led = presetBuild('soft-led');
const withPart = (setting: PartSetting, ref = 'D1'): Build => ({
  ...led,
  parts: { ...led.parts, [ref]: setting },
});
const faradsOf = (build: Build) =>
  networkOf(build, NOMINAL_TEMPERATURE_K).primitives.flatMap((part) =>
    part.kind === 'diode' && part.origin.ref === 'D1' ? [part.data.zeroBiasCapacitanceF] : [],
  );
const read = (text: string, current: PartSetting = { type: 'LED-red' }) =>
  parseSettingText({ ref: 'D1', kind: 'diode' }, text, current);

describe('the capacitance of an LED', () => {
  it('is the usual one, or an end of the range that sheets leave', () => {
    // 15 to 100 pF at zero bias: typical figures of datasheets, from memory.
    expect(faradsOf(withPart({ type: 'LED-red' }))).toEqual([35e-12]);
    expect(faradsOf(withPart({ type: 'LED-red', capacitance: 'low' }))).toEqual([15e-12]);
    expect(faradsOf(withPart({ type: 'LED-blue', capacitance: 'high', piggyback: 'LED-red' }))).toEqual([
      100e-12, 100e-12,
    ]);
  });

  it('changes the gain stage as its feedback in parallel says', () => {
    const build: Build = { ...led, knobs: { ...led.knobs, gain: 1 } };
    const { changeDb, hz } = capacitanceRangeEffect(build, 'D1', {
      temperatureK: NOMINAL_TEMPERATURE_K,
      around: {},
    });
    // |1 + Z_f/Z_g| at the net below, Z_f = 551k beside 51p, 35p and the LED; Z_g = 4k7 and 47n. What follows the stage is the
    // same for both; the op-amp's bandwidth takes part of the change.
    const gain = (farads: number) => {
      const omega = 2 * Math.PI * hz;
      const [g, b] = [1 / 551e3, omega * (86e-12 + farads)];
      const [fr, fi] = [g / (g * g + b * b), -b / (g * g + b * b)];
      const [gr, gi] = [4.7e3, -1 / (omega * 47e-9)];
      const size = gr * gr + gi * gi;
      return Math.hypot(1 + (fr * gr + fi * gi) / size, (fi * gr - fr * gi) / size);
    };
    const expected = 20 * Math.log10(gain(100e-12) / gain(15e-12));
    expect(hz).toBeGreaterThan(2000);
    expect(expected).toBeLessThan(-2);
    expect(Math.abs(changeDb - expected)).toBeLessThan(0.1 * Math.abs(expected));
  });

  it('is read and written in one line, and kept where the type leaves a choice', () => {
    for (const text of [
      'LED-red low capacitance',
      '2x LED-blue high capacitance // LED-red',
      'LED-red low high capacitance',
    ])
      expect(settingText(read(text))).toBe(text);
    const low: PartSetting = { type: 'LED-red', capacitance: 'low' };
    expect(read('high capacitance', low)).toEqual({ type: 'LED-red', capacitance: 'high' });
    expect(read('usual capacitance', low)).toEqual({ type: 'LED-red' });
    expect(read('LED-green', low)).toEqual({ type: 'LED-green', capacitance: 'low' });
    expect(read('1N4148', low)).toEqual({ type: '1N4148' });
    expect(withType(low, '1N4148')).toEqual({ type: '1N4148' });
  });

  it('is refused in one line where one figure is known, and for what is no diode', () => {
    expect(() => read('1N4148 low capacitance')).toThrow(
      'D1 cannot have a low capacitance: that of "1N4148" is known. An LED can.',
    );
    expect(() =>
      canonicalSetting({ ref: 'D1', kind: 'diode' }, { type: 'LED-red', capacitance: 'huge' as 'low' }),
    ).toThrow('D1 cannot have the capacitance "huge": an LED can have low or high.');
    expect(() =>
      canonicalSetting({ ref: 'C1', kind: 'capacitor' }, { value: '1n', capacitance: 'low' }),
    ).toThrow('C1 cannot have the capacitance "low"');
    expect(pieceNameProblem('my low capacitance')).toContain('means something else');
  });

  it('is kept in a build file, and named in swaps and on the parts list', () => {
    const build = withPart({ type: 'LED-red', capacitance: 'low' });
    expect(parseBuildFile(serialiseBuild(build)).parts['D1']).toEqual(build.parts['D1']);
    expect(swapsBetween(led, build)).toMatchObject([{ ref: 'D1', after: 'LED-red low capacitance' }]);
    const rows = orderRows(build).filter(({ value }) => value.startsWith('LED-red'));
    expect(rows.find(({ refs }) => refs.includes('D1'))?.value).toBe('LED-red, low capacitance');
    expect(rows.find(({ refs }) => refs.includes('D2'))?.value).toBe('LED-red');
  });

  it('stays with those candidates of a ranking that have one', () => {
    const candidates = candidatesFor(withPart({ type: 'LED-red', capacitance: 'low' }), ['D1']);
    const settings = candidates.map((candidate) => candidate.settings['D1']!);
    expect(settings).toContainEqual({ type: 'LED-green', capacitance: 'low' });
    expect(settings).toContainEqual({ type: '1N4148' });
  });
});
