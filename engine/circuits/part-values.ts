import { Refusal } from '../input/refusal.ts';
import type { PartKind } from '../parts/catalogue-entry.ts';
import { converterEntry, diodeEntry, opampEntry, transistorEntry } from '../parts/part-types.ts';
import { typeName } from '../parts/piece.ts';
import type { ValueQuantity } from '../units/value-code.ts';
import type { PartSpec } from './part-spec.ts';

/** Kinds of parts that have a value or a type of their own. */
export type ValuedKind = Exclude<PartSpec['kind'], 'switch'>;

/** Name of a kind of part in lists. */
export const KIND_NAMES: Readonly<Record<PartSpec['kind'], string>> = {
  resistor: 'resistor',
  capacitor: 'capacitor',
  inductor: 'inductor',
  supply: 'supply',
  diode: 'diode',
  npn: 'NPN transistor',
  pnp: 'PNP transistor',
  nJfet: 'N-channel JFET',
  pJfet: 'P-channel JFET',
  nMosfet: 'N-channel MOSFET',
  opamp: 'op-amp',
  pot: 'potentiometer',
  converter: 'converter',
  switch: 'switch',
};

/** "a resistor", "an NPN transistor". */
export function aKind(kind: PartSpec['kind']): string {
  const name = KIND_NAMES[kind];
  return `${/^[aeioN]/.test(name) ? 'an' : 'a'} ${name}`;
}

/** What a value measures; all other kinds have a type of the catalogue. */
const QUANTITY_OF: Readonly<Record<Exclude<ValuedKind, PartKind>, ValueQuantity>> = {
  resistor: 'ohms',
  pot: 'ohms',
  capacitor: 'farads',
  inductor: 'henries',
  supply: 'volts',
};

/** What a value of this kind measures, undefined for parts that have a type instead. */
export function quantityOf(kind: ValuedKind): ValueQuantity | undefined {
  return hasType(kind) ? undefined : QUANTITY_OF[kind];
}

/** Whether parts of this kind have a type of the catalogue instead of a value. */
export function hasType(kind: ValuedKind): kind is PartKind {
  return !Object.hasOwn(QUANTITY_OF, kind);
}

/** A type of the catalogue that does not fit a part. The message is one sentence. */
export class PartKindError extends Refusal {
  constructor(type: string, kind: ValuedKind, wanted: ValuedKind) {
    super('wrong-kind', `${type} is ${aKind(kind)}, and this part is ${aKind(wanted)}.`);
    this.name = 'PartKindError';
  }
}

/**
 * The type of the catalogue that a text names, for a part of this kind.
 *
 * @throws PartTypeError where there is none, PartKindError where it is a type of another kind.
 */
export function typeOfKind(kind: PartKind, text: string): string {
  switch (kind) {
    case 'diode':
      return diodeEntry(text).type;
    case 'opamp':
      return opampEntry(text).type;
    case 'converter':
      return converterEntry(text).type;
    case 'npn':
    case 'pnp':
    case 'nJfet':
    case 'pJfet':
    case 'nMosfet': {
      const found = transistorEntry(text);
      if (found.kind !== kind) throw new PartKindError(typeName(found.type), found.kind, kind);
      return found.type;
    }
  }
}
