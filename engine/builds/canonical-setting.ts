import { KINDS_WITH_FIT } from '../circuits/part-spec.ts';
import { aKind, hasType, quantityOf, typeOfKind } from '../circuits/part-values.ts';
import { Refusal } from '../input/refusal.ts';
import { quoted } from '../input/shown-text.ts';
import { CAPACITOR_KIND_NAMES } from '../parts/capacitor-kinds.ts';
import { catalogueType } from '../parts/catalogue.ts';
import type { PartKind } from '../parts/catalogue-entry.ts';
import { CAPACITANCE_ENDS, type CapacitanceEnd, capacitanceRange } from '../parts/diode-capacitance.ts';
import { PASSIVE_KINDS } from '../parts/passive-piece.ts';
import { pieceNameProblem, typeName } from '../parts/piece.ts';
import { POT_LAWS } from '../units/taper.ts';
import { formatValue, parseValue, type ValueQuantity } from '../units/value-code.ts';
import type { BuildPart, PartSetting } from './build.ts';
import { BuildError, type BuildProblem } from './build-error.ts';

type Kind = BuildPart['kind'];

/** Longest string of diodes that a part may be. */
const MAX_COUNT = 6;
/** Supplies outside this range are refused: below nothing works, above parts exceed their limits. */
const SUPPLY_RANGE_V = [1, 36] as const;

/** Whether a kind of part can be not fitted or jumpered. */
export function canBeUnfitted(kind: Kind): boolean {
  return KINDS_WITH_FIT.some((each) => each === kind);
}

/**
 * Checks a setting and brings it into its standard form: formatted values, without defaults.
 *
 * @throws BuildError naming the part and the value.
 */
export function canonicalSetting(part: Pick<BuildPart, 'ref' | 'kind'>, setting: PartSetting): PartSetting {
  const { ref, kind } = part;
  const quantity = quantityOf(kind);
  const read = (text: string) =>
    hasType(kind) ? canonicalType(ref, kind, text) : canonicalValue(part, text, quantity!);
  const own = quantity ? setting.value : setting.type;
  if (own === undefined) throw refuse(ref, `${ref} needs a ${quantity ? 'value' : 'type'}.`);
  if (quantity && setting.type !== undefined)
    throw refuse(ref, `${ref} has a value, not a type (${quoted(setting.type)}).`);
  if (!quantity && setting.value !== undefined)
    throw refuse(ref, `${ref} has a type, not a value (${quoted(setting.value)}).`);
  checkExtras(part, setting);
  const count = setting.count ?? 1;
  const named = read(own);
  checkCapacitance(part, named, setting.capacitance);
  return {
    ...(quantity ? { value: named } : { type: named }),
    ...(kind === 'pot' ? { law: setting.law ?? 'linear' } : {}),
    ...(setting.dielectric !== undefined ? { dielectric: setting.dielectric } : {}),
    ...(setting.capacitance !== undefined ? { capacitance: setting.capacitance } : {}),
    ...(count !== 1 ? { count } : {}),
    ...(setting.piece !== undefined ? { piece: setting.piece } : {}),
    ...(setting.fit !== undefined ? { fit: setting.fit } : {}),
    ...(setting.piggyback !== undefined ? { piggyback: read(setting.piggyback) } : {}),
  };
}

function checkExtras({ ref, kind }: Pick<BuildPart, 'ref' | 'kind'>, setting: PartSetting): void {
  const { count, law, dielectric, piece, fit, piggyback } = setting;
  if (
    count !== undefined &&
    (kind !== 'diode' || !Number.isInteger(count) || count < 1 || count > MAX_COUNT)
  ) {
    throw refuse(ref, `${ref} cannot be ${count} in series: only diodes can, from 1 to ${MAX_COUNT}.`);
  }
  if (law !== undefined && (kind !== 'pot' || !POT_LAWS.includes(law))) {
    throw refuse(
      ref,
      `${ref} cannot have the taper ${quoted(law)}: a potentiometer has one of ${POT_LAWS.join(', ')}.`,
    );
  }
  if (dielectric !== undefined && (kind !== 'capacitor' || !CAPACITOR_KIND_NAMES.includes(dielectric))) {
    throw refuse(
      ref,
      `${ref} cannot be made of ${quoted(dielectric)}: a capacitor is one of ${CAPACITOR_KIND_NAMES.join(', ')}.`,
    );
  }
  if (piece !== undefined) {
    const problem = PASSIVE_KINDS.some((each) => each === kind)
      ? pieceNameProblem(piece)
      : `${aKind(kind)} cannot be called ${quoted(piece)} here: a measured type names itself.`;
    if (problem !== undefined) throw refuse(ref, `${ref}: ${problem}`);
  }
  if (fit !== undefined && (!canBeUnfitted(kind) || (fit !== 'open' && fit !== 'bridged'))) {
    throw refuse(
      ref,
      `${ref} cannot be ${quoted(fit)}: only a resistor, capacitor, inductor, diode or potentiometer can be not fitted (open) or jumpered (bridged).`,
    );
  }
  if (piggyback !== undefined && (!canBeUnfitted(kind) || kind === 'pot')) {
    throw refuse(ref, `${ref} cannot have a second part in parallel (${quoted(piggyback)}).`);
  }
}

function checkCapacitance(
  { ref, kind }: Pick<BuildPart, 'ref' | 'kind'>,
  type: string,
  capacitance: CapacitanceEnd | undefined,
): void {
  if (capacitance === undefined) return;
  if (kind !== 'diode' || !CAPACITANCE_ENDS.includes(capacitance))
    throw refuse(
      ref,
      `${ref} cannot have the capacitance ${quoted(capacitance)}: an LED can have ${CAPACITANCE_ENDS.join(' or ')}.`,
    );
  if (capacitanceRange(type) === undefined)
    throw refuse(
      ref,
      `${ref} cannot have a ${capacitance} capacitance: that of ${quoted(typeName(type))} is known. An LED can.`,
    );
}

function canonicalValue(
  { ref, kind }: Pick<BuildPart, 'ref' | 'kind'>,
  text: string,
  quantity: ValueQuantity,
): string {
  const type = catalogueType(text);
  if (type)
    throw refuse(
      ref,
      `${ref} cannot be ${type}: that is a type, and this part is ${aKind(kind)} with a value.`,
    );
  const value = inPart(ref, () => parseValue(text, quantity));
  const [least, most] = SUPPLY_RANGE_V;
  if (kind === 'supply' && (value < least || value > most)) {
    throw refuse(ref, `${ref} cannot be ${quoted(text)}: a supply is from ${least} V to ${most} V.`);
  }
  return formatValue(value, quantity);
}

function canonicalType(ref: string, kind: PartKind, text: string): string {
  return inPart(ref, () => typeOfKind(kind, text));
}

function inPart<T>(ref: string, read: () => T): T {
  try {
    return read();
  } catch (error) {
    if (error instanceof Refusal) throw refuse(ref, `${ref}: ${error.message}`, error.code);
    throw error;
  }
}

/** An error at a place of a build. */
export function refuse(ref: string, message: string, code: BuildProblem['code'] = 'bad-part'): BuildError {
  return new BuildError([{ code, path: `parts.${ref}`, message }]);
}
