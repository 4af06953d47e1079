import { describe, expect, it } from 'vitest';
import { buildWarnings } from '../../engine/analysis/build-warnings.ts';
import { presetNames } from '../../engine/cli/preset-files.ts';
import { presetBuild } from '../preset-build.ts';

describe('warnings of a build', () => {
  it('are none for the presets', () => {
    for (const name of presetNames()) expect(buildWarnings(presetBuild(name)), name).toEqual([]);
  });

  it('name a converter above its own limit, with value and source', () => {
    // Maxim 19-4667 rev 1: MAX1044 operates to 10.0 V; absolute maximum 10.5 V from memory.
    const clean = presetBuild('clean-plain');
    const at = (volts: string) =>
      buildWarnings({ ...clean, parts: { ...clean.parts, V1: { value: volts }, U3: { type: 'MAX1044' } } });
    expect(at('9V')).toEqual([]);
    const [slightly] = at('10.3V');
    expect(slightly).toMatchObject({ ref: 'U3', message: expect.stringContaining('works up to 10 V') });
    const [far] = at('12V');
    expect(far).toMatchObject({
      ref: 'U3',
      message: expect.stringMatching(/U3 \(MAX1044\) gets 1[12]\.\d V/),
    });
    expect(far!.source).toContain('19-4667');
  });

  it('hold each converter type against its own limit', () => {
    // Microchip DS21348A: TC1044S works to 12 V, so that 11 V is nothing to warn of.
    const clean = presetBuild('clean-plain');
    expect(buildWarnings({ ...clean, parts: { ...clean.parts, V1: { value: '11V' } } })).toEqual([]);
  });

  it('name an op-amp above the supply it bears, once for both halves', () => {
    // TI SLOS177: absolute maximum 16 V; doubled and negative rails are some 25 V.
    const clean = presetBuild('clean-plain');
    const warnings = buildWarnings({ ...clean, parts: { ...clean.parts, U2: { type: 'TLC2262' } } });
    expect(warnings).toHaveLength(1);
    expect(warnings[0]).toMatchObject({ ref: 'U2', message: expect.stringContaining('bears 16 V') });
  });
});
