import { editDistance } from '../input/edit-distance.ts';
import { MOST_VALUE_CHARACTERS } from '../input/limits.ts';
import { Refusal } from '../input/refusal.ts';
import { quoted } from '../input/shown-text.ts';
import { BIPOLAR_TRANSISTORS } from './bipolar-transistors.ts';
import type {
  BjtEntry,
  CatalogueEntry,
  ConverterEntry,
  DiodeEntry,
  FetEntry,
  OpampEntry,
  PartKind,
  TransistorEntry,
} from './catalogue-entry.ts';
import { CONVERTERS } from './converters.ts';
import { DIODES } from './diodes.ts';
import { FIELD_EFFECT_TRANSISTORS } from './field-effect-transistors.ts';
import { OPAMPS } from './opamps.ts';

const TRANSISTORS: readonly TransistorEntry[] = [...BIPOLAR_TRANSISTORS, ...FIELD_EFFECT_TRANSISTORS];
/** Every type of every kind, in the order in which they are offered. */
export const CATALOGUE: readonly CatalogueEntry[] = [...DIODES, ...TRANSISTORS, ...OPAMPS, ...CONVERTERS];

/** A type that differs in more than one letter of three is not offered as a correction. */
const LETTERS_PER_EDIT = 3;
const NEAR_COUNT = 3;

/** A type that the catalogue does not have. The message is one sentence, fit for the screen. */
export class PartTypeError extends Refusal {
  /** The type as asked for. */
  readonly type: string;
  /** Up to three types that were perhaps meant, nearest first. */
  readonly near: readonly string[];
  constructor(type: string, wanted: string, near: readonly string[]) {
    const suggestion = near.length > 0 ? `; near to it: ${near.join(', ')}` : '';
    const article = /^[aeio]/.test(wanted) ? 'an' : 'a';
    super('unknown-type', `${quoted(type)} is not ${article} ${wanted} in the catalogue${suggestion}.`);
    this.name = 'PartTypeError';
    this.type = type;
    this.near = near;
  }
}

/** Diode or LED of a type; case and spaces do not matter. Throws PartTypeError for an unknown one. */
export function findDiode(type: string): DiodeEntry {
  return find(DIODES, type, 'diode');
}

/** Op-amp of a type; case and spaces do not matter. Throws PartTypeError for an unknown one. */
export function findOpamp(type: string): OpampEntry {
  return find(OPAMPS, type, 'op-amp');
}

/** Transistor of a type, bipolar or field-effect, told apart by `kind`. Throws PartTypeError for an unknown one. */
export function findTransistor(type: string): TransistorEntry {
  return find(TRANSISTORS, type, 'transistor');
}

/** Bipolar transistor of a type, NPN or PNP. Throws PartTypeError for an unknown one. */
export function findBjt(type: string): BjtEntry {
  return find(BIPOLAR_TRANSISTORS, type, 'bipolar transistor');
}

/** Field-effect transistor of a type, JFET or MOSFET. Throws PartTypeError for an unknown one. */
export function findFet(type: string): FetEntry {
  return find(FIELD_EFFECT_TRANSISTORS, type, 'field-effect transistor');
}

/** Charge-pump converter of a type. Throws PartTypeError for an unknown one. */
export function findConverter(type: string): ConverterEntry {
  return find(CONVERTERS, type, 'converter');
}

/** All types of a kind, in the order in which they are offered. */
export function typesOf(kind: PartKind): readonly string[] {
  return CATALOGUE.filter((entry) => entry.kind === kind).map((entry) => entry.type);
}

/** The type of the catalogue that a text names, of any kind; undefined if there is none. */
export function catalogueType(text: string): string | undefined {
  return SPELLED.get(spelled(text));
}

const SPELLED: ReadonlyMap<string, string> = new Map(CATALOGUE.map(({ type }) => [spelled(type), type]));

function find<Entry extends { readonly type: string }>(
  entries: readonly Entry[],
  type: string,
  wanted: string,
): Entry {
  const key = spelled(type);
  const found = entries.find((entry) => spelled(entry.type) === key);
  if (found) return found;
  throw new PartTypeError(type, wanted, nearTypes(entries, key));
}

/** Types that contain what was asked, or differ by a few letters; nearest first. */
function nearTypes(entries: readonly { readonly type: string }[], key: string): readonly string[] {
  // The comparison takes longer for longer texts, and no type is so long.
  if (key.length > MOST_VALUE_CHARACTERS) return [];
  const mostEdits = Math.ceil(key.length / LETTERS_PER_EDIT);
  return entries
    .map((entry) => ({ type: entry.type, edits: editDistance(key, spelled(entry.type)) }))
    .filter(({ type, edits }) => edits <= mostEdits || (key.length > 2 && spelled(type).includes(key)))
    .sort((one, other) => one.edits - other.edits)
    .slice(0, NEAR_COUNT)
    .map(({ type }) => type);
}

function spelled(type: string): string {
  return type.replace(/[\s-]/g, '').toUpperCase();
}
