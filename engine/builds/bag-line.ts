import { hasType, quantityOf } from '../circuits/part-values.ts';
import { MOST_VALUE_CHARACTERS } from '../input/limits.ts';
import { Refusal } from '../input/refusal.ts';
import { quoted } from '../input/shown-text.ts';
import { CATALOGUE, catalogueType } from '../parts/catalogue.ts';
import { toleranceOfLetter } from '../units/capacitor-marking.ts';
import { preferredValues } from '../units/preferred-numbers.ts';
import { lawsOfLetter, POT_LAWS, type PotLaw, potTitle } from '../units/taper.ts';
import { formatValue, parseValue } from '../units/value-code.ts';
import { countedLine, lastCounted, metresIn, plainCounted, strayCount } from './bag-count.ts';
import { KINDS, MATERIALS, ratedCode, TAPERS } from './bag-words.ts';
import { type DrawerItem, MOST_ITEM_COUNT } from './drawer.ts';
import { hardwareIn, LED_HOLDER, unusedHardwareWords, WIRE } from './hardware-types.ts';
import { type BagKind, type BoardKind, isOnBoard, needName } from './part-need.ts';

/** A line as it is printed on a bag, understood. */
export interface BagLine {
  readonly item: DrawerItem;
  /** Words that say nothing about the part: a size, a maker. */
  readonly ignored: readonly string[];
}

export const MOST_LINE_CHARACTERS = 200;

/** Sizes of surface-mount parts, such as 0805. */
const SURFACE_SIZE = /^0[1-9]0[1-9]$/;
const DUAL = /\b(dual([ -]gang)?|stereo|tandem)\b/i;
const TRIMMER = /\btrim(mers?|[ -]?pots?)?\b/i;
/** Endings for plastic cases with legs, and for groups of gain; from memory. */
const CASE_ENDING = /(?<=\d)(?:A?CP|CN|IP|P|N|-(?:O|Y|GR|BL))$/i;
/** A part with a value, which extras behind it do not make hardware: "100k pot, knob", "100n film boxes". */
const PASSIVE = /\b(pots?|potis?|potentiometers?|film|ceramic|electrolytic|capacitors?|caps?|resistors?)\b/i;
const PASSIVE_VALUE = /(?<![^\s,;])[A-DGW]?\d*[.,]?\d+[pnukKMRΩ]/;

/**
 * A line as it is printed on a bag: "100x 4k7 1% 0.25W metal film", "10 pcs 47n polyester 63V", "5 x 2N3904", "25 1N4148",
 * "B100k pot 16mm". Without a number it is one part.
 *
 * @throws Refusal with one sentence that quotes the line.
 */
export function readBagLine(text: string): BagLine {
  if (text.length > MOST_LINE_CHARACTERS)
    throw refusal(text, `it has ${text.length} characters, and a line at most ${MOST_LINE_CHARACTERS}`);
  const line = joinedUnits(text.normalize('NFKC').replace(/μ/g, 'u').trim());
  if (line === '') throw refusal(text, 'it is empty; write it like "100x 4k7 1% 0.25W" or "25 1N4148"');
  const counted = countedLine(line);
  if (counted) return readPart(text, counted.rest, counted.count);
  const plain = plainCounted(line);
  // "470 resistor" is a value, "25 1N4148" a number of parts.
  if (plain && partNamed(plain.rest)) return readPart(text, plain.rest, plain.count);
  const last = lastCounted(line);
  return last && isCountedLast(last.rest) ? readPart(text, last.rest, last.count) : readPart(text, line, 1);
}

/** Behind a capacitor a number may be its volts, behind a potentiometer or an LED its size in mm, behind wire its cross-section. */
function isCountedLast(rest: string): boolean {
  const { kind, type } = partNamed(rest) ?? {};
  if (kind === 'resistor' || kind === 'inductor') return true;
  return type !== undefined && kind !== 'hardware' && !type.startsWith('LED-');
}

/** A bag as text: "100 × 4k7 resistor, 1 %, 0.25 W, metal film". */
export function itemText(item: DrawerItem): string {
  return `${item.count} × ${itemName(item)}`;
}

/** The same without its number. */
export function itemName({
  kind,
  value,
  type,
  law,
  isDual,
  material,
  tolerancePercent,
  ratedV,
  ratedW,
}: DrawerItem): string {
  const what = law === undefined ? (value ?? type ?? '') : `${value} ${potTitle(law)}`;
  const more = [
    tolerancePercent === undefined ? '' : `${tolerancePercent} %`,
    ratedW === undefined ? '' : `${ratedW} W`,
    ratedV === undefined ? '' : `${ratedV} V`,
    material ?? '',
  ].filter((word) => word !== '');
  return [`${what} ${needName({ kind, ...(isDual && { isDual }) })}`.trim(), ...more].join(', ');
}

function refusal(text: string, reason: string): Refusal {
  return new Refusal('value', `${quoted(text)} is not understood: ${reason}.`);
}

/** "47 nF", "50k B" and "1 / 4 W" as one word each, "100uF/25V" as two. */
function joinedUnits(text: string): string {
  return text
    .replace(/(\d)\s*\/\s*(\d)\s*w\b/gi, '$1/$2W')
    .replace(/(\d)\s+(?=(?:[pnu]F?|[munp]?H|[kMRΩ]|[kM]?Ω|[kM]?ohms?|V(?:DC)?|W|%)(?![\p{L}\d]))/gu, '$1')
    .replace(/(\d)\s*(?=%)/g, '$1')
    .replace(/(\d[kKM]\d*)\s+(?=[A-DGW](?:\s|,|$))/g, '$1')
    .replace(/(\d[pnu]?F?)\/(?=\d+(?:[.,]\d+)?V)/gi, '$1 ');
}

/** The part that a text names by itself, if it names one. */
function partNamed(text: string): DrawerItem | undefined {
  try {
    return readPart(text, text, 1).item;
  } catch (error) {
    if (error instanceof Refusal) return undefined;
    throw error;
  }
}

/** What words say, while they are taken out of a line one after the other. */
interface Found {
  rest: string;
  kind: BagKind | undefined;
  material: string | undefined;
  tolerancePercent: number | undefined;
  ratedV: number | undefined;
  ratedW: number | undefined;
  law: PotLaw | undefined;
  isDual: boolean;
}

function readPart(text: string, line: string, count: number): BagLine {
  if (!(count >= 1 && count <= MOST_ITEM_COUNT))
    throw refusal(text, `a drawer takes 1 to ${MOST_ITEM_COUNT} of one part`);
  const stray = strayCount(line);
  if (stray !== undefined)
    throw refusal(text, `${quoted(stray)} is no number of parts; write one whole number, like "5x"`);
  if (TRIMMER.test(line)) throw refusal(text, 'a drawer takes no trimmers');
  const found: Found = {
    rest: line,
    kind: undefined,
    material: undefined,
    tolerancePercent: undefined,
    ratedV: undefined,
    ratedW: undefined,
    law: undefined,
    isDual: false,
  };
  takeTitle(found);
  const hardware = isPassive(line) ? undefined : hardwareIn(line);
  // "red LED holder" names a type too.
  const type = hardware === LED_HOLDER ? undefined : typeIn(line);
  if (type) return { item: { kind: type.kind, type: type.type, count }, ignored: wordsOf(type.rest) };
  if (hardware !== undefined)
    return {
      item: hardwareItem(text, line, hardware, count),
      ignored: wordsOf(unusedHardwareWords(line)),
    };
  takeRatedCode(found);
  takeRatings(found);
  takeWords(found);
  const words = wordsOf(found.rest);
  for (const [index, word] of words.entries()) {
    const value = SURFACE_SIZE.test(word) ? undefined : valueIn(word, found);
    if (!value) continue;
    const ignored = words.filter((_, at) => at !== index);
    return { item: itemOf(found, value, count), ignored };
  }
  throw refusal(text, adviceFor(words, found));
}

function isPassive(line: string): boolean {
  const [named = ''] = line.split(/\b(?:with|for)\b/i);
  return PASSIVE.test(named) && PASSIVE_VALUE.test(named);
}

function wordsOf(text: string): readonly string[] {
  return text.split(/[\s;]+|,(?!\d)/).filter((word) => word !== '' && word !== ',');
}

function adviceFor(words: readonly string[], { kind }: Found): string {
  const number = words.find((word) => /^\d+$/.test(word));
  if (number !== undefined && kind === undefined)
    return `${number} alone can be a resistor or a capacitor; write "${number} ohm" or "${number} ceramic"`;
  return 'it names no value and no type of the catalogue; write it like "100x 4k7 1% 0.25W" or "25 1N4148"';
}

/** A type of the catalogue in a line: the longest run of words that is one; "red LED" is LED-red. */
function typeIn(line: string) {
  const words = line.split(/[\s,;]+/).filter((word) => word !== '');
  for (let length = Math.min(4, words.length); length > 0; length--) {
    for (let start = 0; start + length <= words.length; start++) {
      const run = words.slice(start, start + length).join(' ');
      if (run.length > MOST_VALUE_CHARACTERS) continue;
      const type = catalogueType(run) ?? ledOf(run) ?? catalogueType(run.replace(CASE_ENDING, ''));
      const entry = type === undefined ? undefined : CATALOGUE.find((each) => each.type === type);
      if (!entry) continue;
      const rest = [...words.slice(0, start), ...words.slice(start + length)].join(' ');
      return { type: entry.type, kind: entry.kind, rest };
    }
  }
  return undefined;
}

function ledOf(run: string): string | undefined {
  const [, colour] = /^(\p{L}+) leds?$/iu.exec(run) ?? [];
  return colour === undefined ? undefined : catalogueType(`LED-${colour}`);
}

/** Takes the title of a taper out of the line, before its percents are taken for a tolerance. */
function takeTitle(found: Found): void {
  for (const law of POT_LAWS) {
    const title = potTitle(law).replace(' %', '%');
    if (!found.rest.toLowerCase().includes(title.toLowerCase()) || !title.includes('%')) continue;
    if (found.law !== undefined && potTitle(found.law).length > title.length) continue;
    found.law = law;
  }
  if (found.law !== undefined) {
    const title = potTitle(found.law).replace(' %', '%').toLowerCase();
    const at = found.rest.toLowerCase().indexOf(title);
    found.rest = `${found.rest.slice(0, at)} ${found.rest.slice(at + title.length)}`;
  }
}

/** Leaves of "2A104J" what follows the voltage. */
function takeRatedCode(found: Found): void {
  for (const word of wordsOf(found.rest)) {
    const code = ratedCode(word);
    if (!code) continue;
    found.kind = 'capacitor';
    found.ratedV = code.volts;
    found.rest = found.rest.replace(word, code.rest);
    return;
  }
}

/** Takes tolerance, power and voltage out of the line. */
function takeRatings(found: Found): void {
  const take = (pattern: RegExp): RegExpExecArray | null => {
    const match = pattern.exec(found.rest);
    if (match) found.rest = found.rest.replace(match[0], ' ');
    return match;
  };
  const number = (text: string) => Number(text.replace(',', '.'));
  const percent = take(/(?:±|\+\/-|\+-)?\s*(\d+(?:[.,]\d+)?)%/);
  if (percent) found.tolerancePercent = number(percent[1]!);
  const share = take(/\b1\/([248])W?\b/i);
  const watts = share ? undefined : take(/\b(\d*[.,]?\d+)W\b/i);
  if (share) found.ratedW = 1 / Number(share[1]);
  else if (watts) found.ratedW = number(watts[1]!);
  const code = take(/\b(\d{1,2})V([0-9])\b/);
  const volts = code ? undefined : take(/\b(\d+(?:[.,]\d+)?)V(?:DC)?\b/i);
  if (code) found.ratedV = number(`${code[1]}.${code[2]}`);
  else if (volts) found.ratedV = number(volts[1]!);
}

/** Takes material, kind and taper out of the line. */
function takeWords(found: Found): void {
  const take = (pattern: RegExp): boolean => {
    const isThere = pattern.test(found.rest);
    if (isThere) found.rest = found.rest.replace(pattern, ' ');
    return isThere;
  };
  for (const [pattern, material, kind] of MATERIALS) {
    if (found.material !== undefined || !take(pattern)) continue;
    found.material = material;
    found.kind = kind;
  }
  for (const [pattern, kind] of KINDS) if (take(pattern)) found.kind = kind;
  for (const [pattern, law] of TAPERS) if (found.law === undefined && take(pattern)) found.law = law;
  found.isDual = take(DUAL);
  if (found.law !== undefined || found.isDual) found.kind ??= 'pot';
  if (found.ratedW !== undefined) found.kind ??= 'resistor';
  if (found.ratedV !== undefined) found.kind ??= 'capacitor';
}

/** A number of rolls of wire and the metres of each are multiplied; whole metres are counted. */
function hardwareItem(text: string, line: string, type: string, count: number): DrawerItem {
  if (type !== WIRE) return { kind: 'hardware', type, count };
  const each = metresIn(line);
  if (each === undefined && count > 1 && !/\bby the met/i.test(line))
    throw refusal(text, 'it gives no length; write the metres of wire, like "5 m wire"');
  const metres = Math.floor((each ?? 1) * count + 1e-9);
  if (!(metres >= 1 && metres <= MOST_ITEM_COUNT))
    throw refusal(text, `a drawer takes 1 to ${MOST_ITEM_COUNT} metres of wire`);
  return { kind: 'hardware', type, count: metres };
}

interface FoundValue {
  readonly kind: BagKind;
  readonly value: string;
  readonly law?: PotLaw;
  readonly tolerancePercent?: number;
}

/** A word as the value of a part; undefined if it is none. */
function valueIn(word: string, found: Found): FoundValue | undefined {
  const lettered = /^([A-DGW])(\d.*)$/i.exec(word) ?? swapped(/^(\d+(?:[kKM]\d*|R)?)([A-DGW])$/.exec(word));
  if (lettered && (found.kind === 'pot' || found.kind === undefined)) {
    const law = lawsOfLetter(lettered[1]!)[0]?.law;
    const value = codeOf('pot', lettered[2]!);
    if (law !== undefined && value !== undefined) return { kind: 'pot', value, law };
  }
  const kind = found.kind ?? kindOf(word);
  if (kind === undefined || !isOnBoard(kind) || hasType(kind)) return undefined;
  const value = codeOf(kind, word);
  if (value === undefined) return undefined;
  const isFarad = /[pnum]F$/i.test(word);
  const letter = kind === 'pot' || isFarad ? undefined : /\d[A-Za-z]?\d*([BCDFGJKMN])$/.exec(word)?.[1];
  const isTolerance = kind === 'capacitor' || (letter !== undefined && !'kKM'.includes(letter));
  const tolerancePercent = letter !== undefined && isTolerance ? toleranceOfLetter(letter) : undefined;
  return { kind, value, ...(tolerancePercent !== undefined && { tolerancePercent }) };
}

function swapped(match: RegExpExecArray | null): readonly string[] | null {
  return match && [match[0], match[2]!, match[1]!];
}

/** Kind of part that the letters of a value tell. */
function kindOf(word: string): BagKind | undefined {
  if (!/\d/.test(word)) return undefined;
  const [, figures] = /^(\d{3})[KM]$/.exec(word) ?? [];
  // 100K is a resistor, 104K a capacitor: no resistor of E24 has such figures.
  if (figures !== undefined)
    return preferredValues('E24').includes(Number(figures)) ? 'resistor' : 'capacitor';
  if (/^\d*[.,]?\d*[pnu]\d*F?[A-Z]?$|F$/i.test(word) || /^\d{3}[BCDFGJN]$/.test(word)) return 'capacitor';
  if (/H\d*$/.test(word)) return 'inductor';
  return /^\d*[.,]?\d*([RkKMΩ]|ohms?|kΩ|MΩ|kohms?)\d*[FGJ]?$/i.test(word) ? 'resistor' : undefined;
}

function codeOf(kind: BoardKind, word: string): string | undefined {
  const quantity = quantityOf(kind);
  if (quantity === undefined) return undefined;
  try {
    return formatValue(parseValue(word, quantity), quantity);
  } catch (error) {
    if (error instanceof Refusal) return undefined;
    throw error;
  }
}

function itemOf(found: Found, { kind, value, law, tolerancePercent }: FoundValue, count: number): DrawerItem {
  const tolerance = found.tolerancePercent ?? tolerancePercent;
  const taper = kind === 'pot' ? (found.law ?? law ?? 'linear') : undefined;
  return {
    kind,
    value,
    count,
    ...(taper !== undefined && { law: taper }),
    ...(kind === 'pot' && found.isDual && { isDual: true }),
    ...(found.material !== undefined && { material: found.material }),
    ...(tolerance !== undefined && { tolerancePercent: tolerance }),
    ...(found.ratedV !== undefined && { ratedV: found.ratedV }),
    ...(found.ratedW !== undefined && { ratedW: found.ratedW }),
  };
}
