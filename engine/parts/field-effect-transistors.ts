import type { FetEntry } from './catalogue-entry.ts';
import { JFETS } from './jfets.ts';
import { MOSFETS } from './mosfets.ts';

/** Every field-effect transistor that can be fitted, in the order in which they are offered. */
export const FIELD_EFFECT_TRANSISTORS: readonly FetEntry[] = [...JFETS, ...MOSFETS];
