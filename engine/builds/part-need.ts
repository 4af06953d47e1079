import { hasType, KIND_NAMES, quantityOf, type ValuedKind } from '../circuits/part-values.ts';
import type { CapacitorKind } from '../parts/capacitor-kinds.ts';
import { footprintOf } from '../parts/footprint-change.ts';
import { catalogueTypeOf, transistorEntry } from '../parts/part-types.ts';
import { isPieceText } from '../parts/piece.ts';
import type { PotLaw } from '../units/taper.ts';
import { parseValue } from '../units/value-code.ts';
import type { BoardPart } from './board-parts.ts';

/** Kinds of parts that stand on the board. */
export type BoardKind = Exclude<ValuedKind, 'supply'>;
/** Kinds of parts that are bought in bags; hardware has a type of `hardware-types.ts`. */
export type BagKind = BoardKind | 'hardware';

export function isOnBoard(kind: BagKind): kind is BoardKind {
  return kind !== 'hardware';
}

/** Kind in lists, empty for hardware, whose type says it: "resistor", "dual-gang potentiometer". */
export function needName({ kind, isDual }: Pick<PartNeed, 'kind' | 'isDual'>): string {
  if (!isOnBoard(kind)) return '';
  return isDual ? 'dual-gang potentiometer' : KIND_NAMES[kind];
}

/** What a part has to be, so that it can stand at its place. */
export interface PartNeed {
  readonly kind: BagKind;
  /** In SI units, of what has a value. */
  readonly value?: number;
  /** Of what has a type; a measured piece has its whole text. */
  readonly type?: string;
  readonly law?: PotLaw;
  readonly isDual?: boolean;
  /** Name of the measured part that stands there. */
  readonly piece?: string;
  /** Absent where the build leaves open what a capacitor is made of. */
  readonly dielectric?: CapacitorKind;
  /** Least rating, V or W; absent where it is not known, infinite above all ratings that are sold. */
  readonly ratedV?: number;
  readonly ratedW?: number;
}

/** What the part at a place has to be, without ratings; undefined for a supply. */
export function needOf(part: BoardPart): PartNeed | undefined {
  const need = unnamedNeed(part);
  const { piece } = part.setting;
  return need && piece !== undefined && !part.isPiggyback ? { ...need, piece } : need;
}

function unnamedNeed({ kind, code, name, setting, dielectric }: BoardPart): PartNeed | undefined {
  if (kind === 'supply') return undefined;
  if (hasType(kind)) return typeNeed(kind, code);
  const value = parseValue(code, quantityOf(kind)!);
  if (kind === 'capacitor') return { kind, value, ...(dielectric !== undefined && { dielectric }) };
  if (kind !== 'pot') return { kind, value };
  const isDual = name === 'dual-gang potentiometer';
  return { kind, value, law: setting.law ?? 'linear', ...(isDual && { isDual }) };
}

/** A transistor that is wired as a diode is a transistor: its type comes first in the name of the wiring. */
function typeNeed(kind: BoardKind, code: string): PartNeed {
  if (isPieceText(code)) return { kind, type: code };
  if (footprintOf(code)?.ends === undefined) return { kind, type: catalogueTypeOf(code) };
  const [type = code] = code.split(' ');
  return { kind: transistorEntry(type).kind, type };
}

/** One text for needs that differ in their ratings alone. */
export function needKey({ kind, value, type, law, isDual, piece, dielectric }: PartNeed): string {
  return [kind, value?.toPrecision(6), type, law, isDual === true, piece, dielectric].join('|');
}
