import type { CapacitanceRange, DiodeEntry } from './catalogue-entry.ts';
import { diodeEntry } from './part-types.ts';

/** Ends of a range of capacitance. */
export type CapacitanceEnd = 'low' | 'high';
export const CAPACITANCE_ENDS: readonly CapacitanceEnd[] = ['low', 'high'];

/** The range of a type, also of a piece of it; undefined where one figure is known. @throws PartTypeError, PieceError. */
export function capacitanceRange(type: string): CapacitanceRange | undefined {
  return diodeEntry(type).capacitanceRange;
}

/** A type at an end of the range of its capacitance; types without a range stay. */
export function withCapacitance(entry: DiodeEntry, end: CapacitanceEnd | undefined): DiodeEntry {
  const { capacitanceRange: range, data } = entry;
  if (end === undefined || range === undefined) return entry;
  const zeroBiasCapacitanceF = end === 'low' ? range.lowF : range.highF;
  return { ...entry, data: { ...data, zeroBiasCapacitanceF } };
}
