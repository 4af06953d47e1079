import { hasType, quantityOf } from '../circuits/part-values.ts';
import { Refusal } from '../input/refusal.ts';
import { toleranceOfLetter } from '../units/capacitor-marking.ts';
import { preferredValues } from '../units/preferred-numbers.ts';
import { lawsOfLetter, type PotLaw } from '../units/taper.ts';
import { formatValue, parseValue } from '../units/value-code.ts';
import type { Found } from './bag-findings.ts';
import { type BagKind, type BoardKind, isOnBoard } from './part-need.ts';

/** A value in a line, with what its letters say. */
export interface FoundValue {
  readonly kind: BagKind;
  readonly value: string;
  readonly law?: PotLaw;
  readonly tolerancePercent?: number;
}

/** A word as the value of a part; undefined if it is none. */
export function valueIn(word: string, found: Found): FoundValue | undefined {
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
