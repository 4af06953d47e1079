import type { BuildPart, PartSetting } from '../../engine/builds/build.ts';
import { withType, withValue } from '../../engine/builds/part-setting.ts';
import { hasType, quantityOf } from '../../engine/circuits/part-values.ts';
import { typesOf } from '../../engine/parts/catalogue.ts';
import { catalogueTypeOf } from '../../engine/parts/part-types.ts';
import { type PreferredSeries, stepPreferred } from '../../engine/units/preferred-numbers.ts';
import { formatValue, parseValue, type ValueQuantity } from '../../engine/units/value-code.ts';
import type { Offered } from './owned-parts.ts';

/**
 * The next setting of a part: a value of its series, a type of the catalogue. Undefined at an end, and for a
 * supply, which has no series.
 *
 * @param offered The values or types to step through instead.
 */
export function stepSetting(
  { kind }: BuildPart,
  setting: PartSetting,
  series: PreferredSeries,
  steps: number,
  offered?: Offered,
): PartSetting | undefined {
  const quantity = quantityOf(kind);
  if (kind === 'supply') return undefined;
  if (offered) return offeredStep(setting, quantity, offered, steps);
  if (quantity && setting.value !== undefined) {
    const value = stepPreferred(parseValue(setting.value, quantity), series, steps);
    return withValue(setting, formatValue(value, quantity));
  }
  const types = kindTypes(kind);
  // A piece steps to the neighbours of the type that it is like.
  const type = types[types.indexOf(catalogueTypeOf(setting.type ?? '')) + steps];
  return type === undefined ? undefined : withType(setting, type);
}

/** The next of what is offered: of values that above or below the present one, of types the next in the list. */
function offeredStep(
  setting: PartSetting,
  quantity: ValueQuantity | undefined,
  offered: readonly string[],
  steps: number,
): PartSetting | undefined {
  if (!quantity || setting.value === undefined) {
    const at = offered.indexOf(catalogueTypeOf(setting.type ?? ''));
    const type = offered[at < 0 && steps < 0 ? offered.length + steps : at + steps];
    return type === undefined ? undefined : withType(setting, type);
  }
  const present = parseValue(setting.value, quantity);
  const values = offered.map((code) => ({ code, value: parseValue(code, quantity) }));
  const beyond = values.filter(({ value }) => (steps > 0 ? value > present : value < present));
  const found = steps > 0 ? beyond[steps - 1] : beyond[beyond.length + steps];
  return found && withValue(setting, found.code);
}

/** Types that a part of this kind can be, in the order of the catalogue; none for one with a value. */
export function kindTypes(kind: BuildPart['kind']): readonly string[] {
  return hasType(kind) ? typesOf(kind) : [];
}
