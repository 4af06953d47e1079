import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type BuildPart, buildParts, type PartSetting, startingBuild } from '../../engine/builds/build.ts';
import { parseBuildFile, serialiseBuild } from '../../engine/builds/build-file.ts';
import { canBeUnfitted, canonicalSetting } from '../../engine/builds/canonical-setting.ts';
import { isSameSetting, parseSettingText, settingText } from '../../engine/builds/part-setting.ts';
import { swapsBetween } from '../../engine/builds/swaps.ts';
import { CIRCUITS } from '../../engine/circuits/circuits.ts';
import { fittedCircuit } from '../../engine/circuits/fitted-circuit.ts';
import { quantityOf } from '../../engine/circuits/part-values.ts';
import { readChain } from '../../engine/cli/chain-options.ts';
import type { Options } from '../../engine/cli/option-values.ts';
import { typesOf } from '../../engine/parts/catalogue.ts';
import { preferredValues } from '../../engine/units/preferred-numbers.ts';
import { POT_LAWS } from '../../engine/units/taper.ts';
import { formatValue } from '../../engine/units/value-code.ts';
import { presetBuild } from '../preset-build.ts';

const builtBy = (options: Options) => readChain(options).pedals[0]!.build;
/** Every part of every circuit, with a build that it stands in. */
const START_OF = new Map(
  [...CIRCUITS.values()].flatMap((circuit) => {
    const start = startingBuild(circuit);
    return buildParts(circuit).map((part) => [part, start] as const);
  }),
);
const PARTS = [...START_OF.keys()];
const E24 = fc.constantFrom(...preferredValues('E24'));

/** Every possible setting of a part, each in its standard form. */
function settingOf(part: BuildPart): fc.Arbitrary<PartSetting> {
  const { kind } = part;
  const quantity = quantityOf(kind);
  const code =
    kind === 'supply'
      ? fc.integer({ min: 1, max: 36 }).map((volts) => `${volts}V`)
      : quantity
        ? fc
            .tuple(E24, fc.integer({ min: 0, max: 5 }))
            .map(([figures, decade]) =>
              formatValue((figures / 100) * 10 ** (decade - (quantity === 'farads' ? 11 : -1)), quantity),
            )
        : fc.constantFrom(...typesOf(kind as 'diode'));
  const optional = <T>(allowed: boolean, value: fc.Arbitrary<T>) =>
    allowed ? fc.option(value, { nil: undefined }) : fc.constant(undefined);
  const isFree = canBeUnfitted(kind);
  return fc
    .record({
      code,
      count: optional(kind === 'diode', fc.integer({ min: 1, max: 6 })),
      law: optional(kind === 'pot', fc.constantFrom(...POT_LAWS)),
      fit: optional(isFree, fc.constantFrom('open' as const, 'bridged' as const)),
      piggyback: optional(isFree && kind !== 'pot', code),
    })
    .map(({ code: own, count, law, fit, piggyback }) =>
      canonicalSetting(part, {
        ...(quantity ? { value: own } : { type: own }),
        ...(count !== undefined ? { count } : {}),
        ...(law !== undefined ? { law } : {}),
        ...(fit !== undefined ? { fit } : {}),
        ...(piggyback !== undefined ? { piggyback } : {}),
      }),
    );
}
const partAndSetting = fc
  .constantFrom(...PARTS)
  .chain((part) => settingOf(part).map((setting) => ({ part, setting })));

describe('the setting of a part', () => {
  it('is read from its own line of text, for every setting', () => {
    fc.assert(
      fc.property(partAndSetting, ({ part, setting }) => {
        const { fit, ...fitted } = setting;
        expect(parseSettingText(part, settingText(fitted), setting)).toEqual(fitted);
        // A removed or bridged part keeps its old value, and can be fitted again.
        if (fit === undefined) return;
        expect(parseSettingText(part, settingText(setting), fitted)).toEqual(setting);
        expect(parseSettingText(part, 'fitted', setting)).toEqual(fitted);
      }),
      { seed: 4, numRuns: 500 },
    );
  });

  it('is read back from a build file', () => {
    fc.assert(
      fc.property(partAndSetting, ({ part, setting }) => {
        const preset = START_OF.get(part)!;
        const bypass = preset.circuit.bypass.kinds.find((kind) =>
          buildParts(fittedCircuit({ ...preset, bypass: kind })).some(({ ref }) => ref === part.ref),
        )!;
        const start = { ...preset, bypass, start: { ...preset.start, bypass } };
        const build = { ...start, parts: { ...start.parts, [part.ref]: setting } };
        expect(parseBuildFile(serialiseBuild(build))).toEqual(build);
        expect(swapsBetween(build, build)).toEqual([]);
        // Two parts that are not fitted are alike.
        const swapped = !isSameSetting(setting, start.parts[part.ref]!);
        expect(swapsBetween(start, build).map(({ ref }) => ref)).toEqual(swapped ? [part.ref] : []);
      }),
      { seed: 5, numRuns: 300 },
    );
  });

  it('is refused where the kind of part does not allow it', () => {
    const part = (kind: BuildPart['kind']) => ({ ref: 'X1', kind });
    for (const [kind, setting, message] of [
      ['resistor', { type: '1N4148' }, /X1 needs a value/],
      ['resistor', { value: '1k', type: '1N4148' }, /has a value, not a type/],
      ['resistor', { value: '1k', count: 2 }, /cannot be 2 in series/],
      ['resistor', { value: '1k', law: 'linear' }, /cannot have the taper "linear"/],
      ['diode', { value: '1k' }, /X1 needs a type/],
      ['diode', { type: '1N4148', value: '1k' }, /has a type, not a value/],
      ['diode', { type: '1N4148', count: 1.5 }, /cannot be 1\.5/],
      ['diode', { type: '1N4148', count: 7 }, /from 1 to 6/],
      ['diode', { type: 'RC4558' }, /RC4558.*not a diode/],
      ['pot', { value: '10k', piggyback: '10k' }, /second part in parallel/],
      ['opamp', { type: 'TL072', fit: 'open' }, /cannot be "open"/],
      ['supply', { value: '0.5V' }, /from 1 V to 36 V/],
      ['supply', { value: '37V' }, /from 1 V to 36 V/],
      ['npn', { type: '2N5457' }, /N-channel JFET/],
    ] as const)
      expect(() => canonicalSetting(part(kind), setting as PartSetting), `${kind}`).toThrow(message);
  });
});

describe('an empty text', () => {
  it.each(['', '// 1N914'])('%j is no diode and keeps none', (text) => {
    expect(() => parseSettingText({ ref: 'D1', kind: 'diode' }, text, { type: '1N4148' })).toThrow(/D1/);
  });
});

describe('a build file', () => {
  it('may start with a byte order mark', () => {
    const plain = presetBuild('soft-plain');
    expect(parseBuildFile(`\uFEFF${serialiseBuild(plain)}`)).toEqual(plain);
  });
});

describe('a knob on the command line', () => {
  it.each(['Infinity', '-Infinity', 'NaN', '', ' ', '1.5', '-0.1', 'half'])('is refused at "%s"', (text) => {
    expect(() => builtBy({ build: 'soft-plain', knob: [`gain=${text}`] })).toThrow(
      new RegExp(`"gain" is at "?${text.replace('.', '\\.')}"?; it turns from 0 to 1`),
    );
  });

  it.each(['0', '1', '.5', '1e-3'])('accepts the position %s', (text) => {
    expect(builtBy({ build: 'soft-plain', knob: [`gain=${text}`] }).knobs['gain']).toBe(Number(text));
  });
});

describe('a type where a value belongs', () => {
  it.each(['1N4148', '1n4148', '2N3904', '1N 34 A'])(
    'is refused by its name and not read as a value code: %s',
    (text) => {
      const part = PARTS.find(({ ref }) => ref === 'C3')!;
      expect(() => parseSettingText(part, text, { value: '47n' })).toThrow(
        /C3 cannot be (1N|2N)\w+: that is a type/,
      );
      expect(() => parseSettingText(part, `47n // ${text}`, { value: '47n' })).toThrow(/that is a type/);
    },
  );

  it('does not refuse similar codes: 1n4 is 1.4 nF', () => {
    const part = PARTS.find(({ ref }) => ref === 'C3')!;
    expect(parseSettingText(part, '1n4', { value: '47n' })).toEqual({ value: '1n4' });
  });
});
