import { describe, expect, it } from 'vitest';
import { buildWarnings } from '../../engine/analysis/build-warnings.ts';
import type { Build, PartSetting } from '../../engine/builds/build.ts';
import { presetNames } from '../../engine/cli/preset-files.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';

import { kelvinOf } from '../../engine/network/temperature.ts';
import { findOpamp, typesOf } from '../../engine/parts/catalogue.ts';
import { analyse } from '../../ui/plots/plot-analysis.ts';
import { presetBuild } from '../preset-build.ts';

const clean = presetBuild('clean-plain');
const withParts = (parts: Readonly<Record<string, PartSetting>>): Build => ({
  ...clean,
  parts: { ...clean.parts, ...parts },
});
const REMEDY = 'Use a lower supply or a type with a higher limit.';

describe('warnings of a build', () => {
  it('do not exist for the presets', () => {
    for (const name of presetNames())
      expect(buildWarnings(presetBuild(name), NOMINAL_TEMPERATURE_K), name).toEqual([]);
  });

  it('say how far a converter is above its working limit, where the limit is published, and what to do', () => {
    // Maxim 19-4667 rev 1: MAX1044 operates to 10.0 V; absolute maximum 10.5 V from memory.
    const at = (volts: string) =>
      buildWarnings(withParts({ V1: { value: volts }, U3: { type: 'MAX1044' } }), NOMINAL_TEMPERATURE_K);
    expect(at('9V')).toEqual([]);
    const [slightly] = at('10.3V');
    expect(slightly).toMatchObject({ ref: 'U3', source: 'Maxim 19-4667 rev 1' });
    expect(slightly!.message).toMatch(
      /^U3 \(MAX1044\) sees 10\.\d V, 0\.\d V over its working limit of 10 V \(Maxim 19-4667 rev 1\)\. Use a lower supply/,
    );
    const [far] = at('12V');
    expect(far!.message).toMatch(
      /^U3 \(MAX1044\) sees 1[12]\.\d V, [01]\.\d V over its limit of 10\.5 V \(limit not checked against a datasheet\)\./,
    );
  });

  it('hold each converter type against its own limit', () => {
    // Microchip DS21348A: TC1044S works up to 12 V, so 11 V gives no warning.
    expect(buildWarnings(withParts({ V1: { value: '11V' } }), NOMINAL_TEMPERATURE_K)).toEqual([]);
  });

  it('name an op-amp above its supply limit once for both halves, with the voltage that it gets', () => {
    // TI SLOS177: absolute maximum 16 V; doubled and negative rails together are some 25 V.
    const warnings = buildWarnings(withParts({ U2: { type: 'TLC2262' } }), NOMINAL_TEMPERATURE_K);
    expect(warnings).toHaveLength(1);
    const [, sees, over] = /^U2 \(TLC2262\) sees (\d+\.\d) V, (\d+\.\d) V over its limit of 16 V/.exec(
      warnings[0]!.message,
    )!;
    expect(Number(sees) - 16).toBeCloseTo(Number(over), 9);
    expect(Number(sees)).toBeGreaterThan(20);
    expect(warnings[0]!.message.endsWith(REMEDY)).toBe(true);
  });

  it('say in plain words where a limit is not checked, and never contain "from memory"', () => {
    for (const type of typesOf('opamp')) {
      const { maxSupplyV, limits } = findOpamp(type);
      const line = limits.find(({ quantity }) => quantity === 'supplyV');
      expect(line, type).toMatchObject({ maximum: maxSupplyV });
      if (maxSupplyV > 20) continue;
      const [warning] = buildWarnings(withParts({ U2: { type } }), NOMINAL_TEMPERATURE_K);
      expect(warning!.message).not.toContain('from memory');
      const isChecked = !line!.source.endsWith('from memory');
      expect(warning!.message.includes('not checked against a datasheet'), type).toBe(!isChecked);
    }
  });

  it('are calculated at the bench’s temperature, because supply voltages depend on it through the currents', () => {
    const ask = (build: Build, temperatureC: number) =>
      analyse({ kind: 'warnings', build, temperatureC }) as readonly unknown[];
    const build = withParts({ U2: { type: 'TLC2262' } });
    for (const celsius of [-10, 60]) {
      expect(ask(build, celsius)).toEqual(buildWarnings(build, kelvinOf(celsius)));
    }
    expect(ask(build, -10)).not.toEqual(ask(build, 60));
  });
});
