import type { Fit } from '../circuits/part-spec.ts';
import { quantityOf } from '../circuits/part-values.ts';
import { MOST_SETTING_CHARACTERS } from '../input/limits.ts';
import { Refusal } from '../input/refusal.ts';
import { quoted } from '../input/shown-text.ts';
import { CAPACITOR_KIND_NAMES, type CapacitorKind } from '../parts/capacitor-kinds.ts';
import { catalogueType } from '../parts/catalogue.ts';
import { type CapacitanceEnd, capacitanceRange } from '../parts/diode-capacitance.ts';
import { type Piece, typeName } from '../parts/piece.ts';
import { POT_LAWS, type PotLaw, potTitle } from '../units/taper.ts';
import { parseValue } from '../units/value-code.ts';
import type { BuildPart, PartSetting } from './build.ts';
import { canonicalSetting, refuse } from './canonical-setting.ts';
import { typeText } from './pieces.ts';

const PARALLEL = '//';
/** A capacitor of no kind. */
const IDEAL = 'ideal';
/** "LED-red low capacitance", "usual capacitance". */
const CAPACITANCE = /^(.*?)\s*\b(low|usual|high) capacitance$/i;

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
