import type { DatasheetPoint } from './catalogue-entry.ts';

/** Absolute maximum between the supply pins of an op-amp, V. */
export function supplyLimit(maximum: number, source: string): DatasheetPoint {
  return { quantity: 'supplyV', maximum, at: {}, source };
}
