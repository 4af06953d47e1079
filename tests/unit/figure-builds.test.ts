import { describe, expect, it } from 'vitest';
import { type Build, buildParts } from '../../engine/builds/build.ts';
import { canBeUnfitted } from '../../engine/builds/canonical-setting.ts';
import { figureValue, withPart } from '../../engine/builds/part-figures.ts';
import { figureUnit, type PartFigure } from '../../engine/circuits/part-figure.ts';
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

interface Neighbour {
  readonly ref: string;
  readonly change: string;
  readonly build: Build;
}

/** A type in so many of a kind is tried at each part; the next part of the kind has the next ones. */
const TYPE_STEP = 24;

/** Builds that differ from one in a single part: not fitted, jumpered, at either end of its values, of other types. */
function neighbours(build: Build): readonly Neighbour[] {
  const seen = new Map<string, number>();
  return buildParts(build.circuit).flatMap(({ ref, kind }): Neighbour[] => {
    const setting = build.parts[ref]!;
    const quantity = quantityOf(kind);
    const values = quantity ? EXTREMES[quantity].map((value) => ({ ...setting, value })) : [];
    const turn = seen.get(kind) ?? 0;
    seen.set(kind, turn + 1);
    const isTurn = (index: number) => index % TYPE_STEP === (5 * turn) % TYPE_STEP;
    const types = quantity ? [] : typesOf(kind as PartKind).filter((_, index) => isTurn(index));
    const settings = [
      ...values,
      ...types.map((type) => ({ ...setting, type })),
      ...(canBeUnfitted(kind) ? (['open', 'bridged'] as const).map((fit) => ({ ...setting, fit })) : []),
    ];
    return settings.map((each) => ({
      ref,
      change: `${ref} ${JSON.stringify(each)}`,
      build: withPart(build, ref, each),
    }));
  });
}

/** Each figure that the changed part decides; of the others one in so many, in turn, so that each meets every sort of change. */
const OTHERS_STEP = 11;

function figuresAt({ ref, build }: Neighbour, turn: number): readonly PartFigure[] {
  return build.circuit.figures.filter(
    ({ parts }, index) => parts.includes(ref) || index % OTHERS_STEP === turn % OTHERS_STEP,
  );
}

describe('figures of any build', () => {
  it.each(['soft-plain', 'clean-plain'])(
    'are a number or none, and never an error: one part of %s changed',
    (name) => {
      const build = presetBuild(name);
      for (const [turn, neighbour] of neighbours(build).entries()) {
        const { change } = neighbour;
        for (const figure of figuresAt(neighbour, turn)) {
          const value = figureValue(neighbour.build, figure, kelvinOf(27));
          const text = quantityText(value, figureUnit(figure));
          expect(text, `${figure.name}, ${change}`).toMatch(/^(none|[−\d.]+ [GMkmµnp]?(Hz|dB|V|A|Ω))$/);
          if (figureUnit(figure) === 'Hz' && text !== 'none') expect(value, change).toBeGreaterThan(0);
          if (figureUnit(figure) === 'dB' && text !== 'none') expect(value, change).toBeLessThan(200);
        }
      }
    },
    60_000,
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
