import { describe, expect, it } from 'vitest';
import { type Build, buildParts } from '../../engine/builds/build.ts';
import { figureValue, withPart } from '../../engine/builds/part-figures.ts';
import { canBeUnfitted } from '../../engine/builds/part-setting.ts';
import { figureUnit } from '../../engine/circuits/part-figure.ts';
import { quantityOf } from '../../engine/circuits/part-values.ts';
import { kelvinOf } from '../../engine/network/temperature.ts';
import { typesOf } from '../../engine/parts/catalogue.ts';
import type { PartKind } from '../../engine/parts/catalogue-entry.ts';
import { quantityText } from '../../engine/units/quantity-text.ts';
import { presetBuild } from '../preset-build.ts';

const EXTREMES = {
  ohms: ['1R', '10M'],
  farads: ['1p', '10m'],
  henries: ['1u', '10'],
  volts: ['3V', '24V'],
} as const;

/** Builds that differ from one in a single part: not fitted, jumpered, at either end of its values, every eighth type. */
function neighbours(build: Build): readonly (readonly [string, Build])[] {
  return buildParts(build.circuit).flatMap(({ ref, kind }): (readonly [string, Build])[] => {
    const setting = build.parts[ref]!;
    const quantity = quantityOf(kind);
    const values = quantity ? EXTREMES[quantity].map((value) => ({ ...setting, value })) : [];
    const types = quantity ? [] : typesOf(kind as PartKind).filter((_, index) => index % 8 === 0);
    const settings = [
      ...values,
      ...types.map((type) => ({ ...setting, type })),
      ...(canBeUnfitted(kind) ? (['open', 'bridged'] as const).map((fit) => ({ ...setting, fit })) : []),
    ];
    return settings.map((each) => [`${ref} ${JSON.stringify(each)}`, withPart(build, ref, each)]);
  });
}

describe('figures of any build', () => {
  it.each(['soft-plain', 'clean-plain'])(
    'are a number or none, and never an error: one part of %s changed',
    (name) => {
      const build = presetBuild(name);
      for (const [change, changed] of neighbours(build)) {
        for (const figure of build.circuit.figures) {
          const value = figureValue(changed, figure, kelvinOf(27));
          const text = quantityText(value, figureUnit(figure));
          expect(text, `${figure.name}, ${change}`).toMatch(/^(none|[−\d.]+ [GMkmµnp]?(Hz|dB|V|A|Ω))$/);
          if (figureUnit(figure) === 'Hz' && text !== 'none') expect(value, change).toBeGreaterThan(0);
          if (figureUnit(figure) === 'dB' && text !== 'none') expect(value, change).toBeLessThan(200);
        }
      }
    },
    120_000,
  );

  it.each(['soft-plain', 'soft-germanium', 'clean-plain'])(
    'are there with every knob at either end: %s',
    (name) => {
      const build = presetBuild(name);
      for (const end of [0, 1]) {
        const knobs = Object.fromEntries(Object.keys(build.knobs).map((knob) => [knob, end]));
        for (const figure of build.circuit.figures)
          expect(
            figureValue({ ...build, knobs }, figure, kelvinOf(27)),
            `${figure.name} at ${end}`,
          ).toSatisfy(Number.isFinite);
      }
    },
  );
});
