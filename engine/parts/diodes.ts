import type { DiodeEntry } from './catalogue-entry.ts';
import { GERMANIUM_DIODES } from './germanium-diodes.ts';
import { LEDS } from './leds.ts';
import { MOSFET_DIODES } from './mosfet-diodes.ts';
import { SCHOTTKY_DIODES } from './schottky-diodes.ts';
import { SILICON_DIODES } from './silicon-diodes.ts';
import { TRANSISTOR_JUNCTIONS } from './transistor-junctions.ts';
import { ZENER_DIODES } from './zener-diodes.ts';

/** Every diode and everything wired as one, in the order of the menu. */
export const DIODES: readonly DiodeEntry[] = [
  ...SILICON_DIODES,
  ...GERMANIUM_DIODES,
  ...SCHOTTKY_DIODES,
  ...LEDS,
  ...ZENER_DIODES,
  ...MOSFET_DIODES,
  ...TRANSISTOR_JUNCTIONS,
];
