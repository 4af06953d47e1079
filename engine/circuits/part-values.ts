import { findConverter, findDiode, findOpamp, findTransistor } from '../parts/catalogue.ts';
import type { ValueQuantity } from '../units/value-code.ts';
import type { PartSpec } from './part-spec.ts';

/** Kinds of parts that have a value or a type of their own. */
export type ValuedKind = Exclude<PartSpec['kind'], 'switch'>;

/** What a kind of part is called in lists. */
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

const QUANTITY_OF: Partial<Record<ValuedKind, ValueQuantity>> = {
  resistor: 'ohms',
  pot: 'ohms',
  capacitor: 'farads',
  inductor: 'henries',
  supply: 'volts',
};

/** What a value of this kind measures, undefined for parts that have a type instead. */
export function quantityOf(kind: ValuedKind): ValueQuantity | undefined {
  return QUANTITY_OF[kind];
}

/** A type of the catalogue that does not fit where it is to stand. The message is one sentence. */
export class PartKindError extends Error {
  constructor(type: string, kind: ValuedKind, wanted: ValuedKind) {
    super(`${type} is ${aKind(kind)}, and here stands ${aKind(wanted)}.`);
    this.name = 'PartKindError';
  }
}

/**
 * The type of the catalogue that a text names, for a part of this kind.
 *
 * @throws PartTypeError where there is none, PartKindError where it is a type of another kind.
 */
export function typeOfKind(kind: ValuedKind, text: string): string {
  if (kind === 'diode') return findDiode(text).type;
  if (kind === 'opamp') return findOpamp(text).type;
  if (kind === 'converter') return findConverter(text).type;
  const found = findTransistor(text);
  if (found.kind !== kind) throw new PartKindError(found.type, found.kind, kind);
  return found.type;
}
