import type { BuildPart, PartSetting } from '../../engine/builds/build.ts';
import { withType } from '../../engine/builds/part-setting.ts';
import { hasType, quantityOf } from '../../engine/circuits/part-values.ts';
import { typesOf } from '../../engine/parts/catalogue.ts';
import { catalogueTypeOf } from '../../engine/parts/part-types.ts';
import { type PreferredSeries, stepPreferred } from '../../engine/units/preferred-numbers.ts';
import { formatValue, parseValue } from '../../engine/units/value-code.ts';

/**
 * The next setting of a part: a value of its series, a type of the catalogue. Undefined at an end, and for a
 * supply, which has no series.
 */
export function stepSetting(
  { kind }: BuildPart,
  setting: PartSetting,
  series: PreferredSeries,
  steps: number,
): PartSetting | undefined {
  const quantity = quantityOf(kind);
  if (kind === 'supply') return undefined;
  if (quantity && setting.value !== undefined) {
    const value = stepPreferred(parseValue(setting.value, quantity), series, steps);
    return { ...setting, value: formatValue(value, quantity) };
  }
  const types = kindTypes(kind);
  // A piece steps to the neighbours of the type that it is like.
  const type = types[types.indexOf(catalogueTypeOf(setting.type ?? '')) + steps];
  return type === undefined ? undefined : withType(setting, type);
}

/** Types that a part of this kind can be, in the order of the catalogue; none for one with a value. */
export function kindTypes(kind: BuildPart['kind']): readonly string[] {
  return hasType(kind) ? typesOf(kind) : [];
}
