import type { DiodeEntry } from './catalogue-entry.ts';
import { GERMANIUM_DIODES } from './germanium-diodes.ts';
import { LEDS } from './leds.ts';
import { SCHOTTKY_DIODES } from './schottky-diodes.ts';
import { SILICON_DIODES } from './silicon-diodes.ts';

/** Every diode that can be fitted, in the order in which they are offered. */
export const DIODES: readonly DiodeEntry[] = [
  ...SILICON_DIODES,
  ...GERMANIUM_DIODES,
  ...SCHOTTKY_DIODES,
  ...LEDS,
];
