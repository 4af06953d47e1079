import { type Fit, KINDS_WITH_FIT } from '../circuits/part-spec.ts';
import { aKind, hasType, quantityOf, typeOfKind } from '../circuits/part-values.ts';
import { MOST_SETTING_CHARACTERS } from '../input/limits.ts';
import { Refusal } from '../input/refusal.ts';
import { quoted } from '../input/shown-text.ts';
import { CAPACITOR_KIND_NAMES, type CapacitorKind } from '../parts/capacitor-kinds.ts';
import { catalogueType } from '../parts/catalogue.ts';
import type { PartKind } from '../parts/catalogue-entry.ts';
import { CAPACITANCE_ENDS, type CapacitanceEnd, capacitanceRange } from '../parts/diode-capacitance.ts';
import { PASSIVE_KINDS } from '../parts/passive-piece.ts';
import { type Piece, pieceNameProblem, typeName } from '../parts/piece.ts';
import { POT_LAWS, type PotLaw, potTitle } from '../units/taper.ts';
import { formatValue, parseValue, type ValueQuantity } from '../units/value-code.ts';
import type { BuildPart, PartSetting } from './build.ts';
import { BuildError, type BuildProblem } from './build-error.ts';
import { typeText } from './pieces.ts';

type Kind = BuildPart['kind'];

/** Longest string of diodes that a part may be. */
const MAX_COUNT = 6;
/** Supplies outside this range are refused: below nothing works, above parts exceed their limits. */
const SUPPLY_RANGE_V = [1, 36] as const;
const PARALLEL = '//';
/** A capacitor of no kind. */
const IDEAL = 'ideal';
/** "LED-red low capacitance", "usual capacitance". */
const CAPACITANCE = /^(.*?)\s*\b(low|usual|high) capacitance$/i;

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

/** A setting with another type. A capacitance that was chosen stays where the type leaves a choice. */
export function withType({ capacitance, ...rest }: PartSetting, type: string): PartSetting {
  const isOpen = capacitance !== undefined && hasCapacitanceRange(type);
  return { ...rest, type, ...(isOpen && { capacitance }) };
}

/** A setting with another value: it is of another part than the one that was measured. */
export function withValue(setting: PartSetting, value: string): PartSetting {
  return { ...withoutPiece(setting), value };
}

/** A setting that does not say which measured part it is of. */
export function withoutPiece({ piece: _, ...rest }: PartSetting): PartSetting {
  return rest;
}

function hasCapacitanceRange(type: string): boolean {
  try {
    return capacitanceRange(type) !== undefined;
  } catch (error) {
    // An unknown type is refused later, with its name.
    if (error instanceof Refusal) return false;
    throw error;
  }
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

function refuse(ref: string, message: string, code: BuildProblem['code'] = 'bad-part'): BuildError {
  return new BuildError([{ code, path: `parts.${ref}`, message }]);
}

/** Words of builders for a part that is missing, and for one that a wire replaces. */
const FITS: readonly Fit[] = ['open', 'bridged'];
export const FIT_WORDS: Readonly<Record<Fit, string>> = { open: 'not fitted', bridged: 'jumpered' };

/**
 * A setting in a line, as on a parts list: "4k7", "2x 1N4148", "25k linear", "47n film", "LED-red low capacitance", "4k7 // 47k",
 * "9k87 (10k no. 3)", "not fitted".
 */
export function settingText(setting: PartSetting): string {
  if (setting.fit !== undefined) return FIT_WORDS[setting.fit];
  const count = setting.count !== undefined ? `${setting.count}x ` : '';
  const law = setting.law !== undefined ? ` ${potTitle(setting.law)}` : '';
  const made = setting.dielectric !== undefined ? ` ${setting.dielectric}` : '';
  const charge = setting.capacitance !== undefined ? ` ${setting.capacitance} capacitance` : '';
  const piece = setting.piece !== undefined ? ` (${setting.piece})` : '';
  const second = setting.piggyback !== undefined ? ` ${PARALLEL} ${typeName(setting.piggyback)}` : '';
  return `${count}${setting.value ?? typeName(setting.type ?? '')}${law}${made}${charge}${piece}${second}`;
}

/** Whether the same is soldered; two pieces can have one name. */
export function isSameSetting(one: PartSetting, other: PartSetting): boolean {
  const isSame = one.type === other.type && one.piggyback === other.piggyback;
  return isSame && settingText(one) === settingText(other);
}

/**
 * Reads what {@link settingText} writes, and shorter texts: "linear" keeps the value, "25k" keeps the taper, "47n" what a
 * capacitor is made of,
 * "fitted" fits the part again.
 *
 * @param current The present setting. @param pieces That the builder can name.
 * @throws BuildError naming the part and the value.
 */
export function parseSettingText(
  part: Pick<BuildPart, 'ref' | 'kind'>,
  text: string,
  current: PartSetting,
  pieces: readonly Piece[] = [],
): PartSetting {
  if (text.length > MOST_SETTING_CHARACTERS) {
    throw refuse(
      part.ref,
      `${part.ref} cannot be ${quoted(text)}: it has ${text.length} characters; ${MOST_SETTING_CHARACTERS} are the most.`,
    );
  }
  const trimmed = text.trim();
  const { fit: _, ...fitted } = current;
  const fit = FITS.find((each) => trimmed === each || trimmed === FIT_WORDS[each]);
  if (fit) return canonicalSetting(part, { ...current, fit });
  if (trimmed === 'fitted') return canonicalSetting(part, fitted);
  if (part.kind === 'pot') {
    const { words, ...named } = withoutName(part, trimmed, current);
    return canonicalSetting(part, { ...parsePot(words, withoutPiece(current)), ...named });
  }
  const [whole = '', second, ...more] = trimmed.split(PARALLEL).map((word) => word.trim());
  if (more.length > 0)
    throw refuse(part.ref, `${part.ref}: ${quoted(text)} has more than one part in parallel.`);
  const piggyback = second !== undefined ? { piggyback: typeText(second, pieces) } : {};
  if (quantityOf(part.kind)) {
    const { words, ...named } = withoutName(part, whole, current);
    const own = part.kind === 'capacitor' ? parseCapacitor(words, current) : { value: words };
    return canonicalSetting(part, { ...own, ...named, ...piggyback });
  }
  const own = part.kind === 'diode' ? parseDiode(whole, fitted, pieces) : { type: typeText(whole, pieces) };
  return canonicalSetting(part, { ...own, ...piggyback });
}

/** What measured parts are called unless the builder calls them otherwise: "10k no. 3", "B100K no. 1". */
const NUMBERED = /^[a-z]?\d[^()]* no\. \d+$/i;

/**
 * "9k87 (10k no. 3)" without the name of the measured part. Other words in brackets, "10k (metal film)", are no name: that of the
 * present part is one, whatever it is.
 */
function withoutName(
  { ref }: Pick<BuildPart, 'ref'>,
  text: string,
  current: PartSetting,
): { readonly words: string; readonly piece?: string } {
  const [, words, piece] = /^([^()]+?)\s*\((.+)\)$/.exec(text) ?? [];
  if (words === undefined || piece === undefined) return { words: text };
  if (piece !== current.piece && !NUMBERED.test(piece))
    throw refuse(
      ref,
      `${ref}: ${quoted(piece)} is not the name of a measured part. Leave the brackets out, or write a name like "10k no. 3" in them.`,
    );
  return { words, piece };
}

/** "LED-red", "2x LED-red low capacitance", or "low capacitance", which keeps the type; "usual capacitance" takes the choice back. */
function parseDiode(text: string, current: PartSetting, pieces: readonly Piece[]): PartSetting {
  const [, rest = text, end] = CAPACITANCE.exec(text) ?? [];
  const chosen = end?.toLowerCase();
  const { capacitance: kept, ...without } = current;
  const capacitance = chosen === undefined ? kept : chosen;
  const asked = capacitance !== undefined &&
    capacitance !== 'usual' && { capacitance: capacitance as CapacitanceEnd };
  if (rest === '' && chosen !== undefined) return { ...without, ...asked };
  const counted = /^(\d+)\s*[x×]\s*(.+)$/i.exec(rest);
  const type = typeText(counted ? counted[2]! : rest, pieces);
  const count = counted && { count: Number(counted[1]) };
  // Asked for with a type that has no range, it is refused; kept from another type, it goes.
  return chosen === undefined ? { ...withType({ ...asked }, type), ...count } : { type, ...count, ...asked };
}

/** "47n", "47 nF film", or "film", which keeps the value; "ideal" takes the kind away. */
function parseCapacitor(text: string, { value, dielectric }: PartSetting): PartSetting {
  // A type with blanks in it is refused as one.
  if (catalogueType(text)) return { value: text };
  const words = text.split(/\s+/);
  const last = words.at(-1) ?? '';
  const rest = words.slice(0, -1).join(' ');
  const kind = CAPACITOR_KIND_NAMES.find((name) => name.toLowerCase() === last.toLowerCase());
  const isIdeal = last.toLowerCase() === IDEAL;
  // A last word behind a value is a kind, also an unknown one, which is refused with the others; "nF" is none.
  if (!kind && !isIdeal && (isFarads(text) || !isFarads(rest)))
    return { value: text, ...(dielectric !== undefined && { dielectric }) };
  const own = rest === '' ? value : rest;
  const made = isIdeal ? undefined : (kind ?? (last as CapacitorKind));
  return { ...(own !== undefined && { value: own }), ...(made !== undefined && { dielectric: made }) };
}

function isFarads(text: string): boolean {
  try {
    return parseValue(text, 'farads') > 0;
  } catch (error) {
    if (error instanceof Refusal) return false;
    throw error;
  }
}

function parsePot(text: string, current: PartSetting): PartSetting {
  const lawOf = (word: string): PotLaw | undefined =>
    POT_LAWS.find((law) => law === word || potTitle(law) === word);
  const whole = lawOf(text);
  if (whole) return { ...current, law: whole };
  const space = text.indexOf(' ');
  if (space < 0) return { ...current, value: text };
  const word = text.slice(space + 1).trim();
  return { value: text.slice(0, space), law: lawOf(word) ?? (word as PotLaw) };
}
