import { MOST_VALUE_CHARACTERS } from '../input/limits.ts';
import { Refusal } from '../input/refusal.ts';
import { quoted } from '../input/shown-text.ts';
import { CATALOGUE, catalogueType } from '../parts/catalogue.ts';
import { countedLine, lastCounted, metresIn, plainCounted, strayCount } from './bag-count.ts';
import { type Found, findingsIn, wordsOf } from './bag-findings.ts';
import { type FoundValue, valueIn } from './bag-value.ts';
import { type DrawerItem, MOST_ITEM_COUNT } from './drawer.ts';
import { hardwareIn, LED_HOLDER, unusedHardwareWords, WIRE } from './hardware-types.ts';

/** A line as it is printed on a bag, understood. */
export interface BagLine {
  readonly item: DrawerItem;
  /** Words that say nothing about the part: a size, a maker. */
  readonly ignored: readonly string[];
}

export const MOST_LINE_CHARACTERS = 200;

/** Sizes of surface-mount parts, such as 0805. */
const SURFACE_SIZE = /^0[1-9]0[1-9]$/;
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

function readPart(text: string, line: string, count: number): BagLine {
  if (!(count >= 1 && count <= MOST_ITEM_COUNT))
    throw refusal(text, `a drawer takes 1 to ${MOST_ITEM_COUNT} of one part`);
  const stray = strayCount(line);
  if (stray !== undefined)
    throw refusal(text, `${quoted(stray)} is no number of parts; write one whole number, like "5x"`);
  if (TRIMMER.test(line)) throw refusal(text, 'a drawer takes no trimmers');
  const hardware = isPassive(line) ? undefined : hardwareIn(line);
  // "red LED holder" names a type too.
  const type = hardware === LED_HOLDER ? undefined : typeIn(line);
  if (type) return { item: { kind: type.kind, type: type.type, count }, ignored: wordsOf(type.rest) };
  if (hardware !== undefined)
    return {
      item: hardwareItem(text, line, hardware, count),
      ignored: wordsOf(unusedHardwareWords(line)),
    };
  const found = findingsIn(line);
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
