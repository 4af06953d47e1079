import type { OpampEntry } from './catalogue-entry.ts';
import { CMOS_OPAMPS } from './cmos-opamps.ts';
import { GENERAL_PURPOSE_OPAMPS } from './general-purpose-opamps.ts';
import { JFET_OPAMPS } from './jfet-opamps.ts';
import { LOW_NOISE_OPAMPS } from './low-noise-opamps.ts';
import { OPAMP_OUTPUTS } from './opamp-outputs.ts';
import { SINGLE_OPAMPS } from './single-opamps.ts';

/*
 * Headroom is what the swing at light load leaves of the supply: ±14 V of ±15 V is 1 V at either end.
 * Input bias is positive where it flows into the pin: NPN inputs and the gates of P-channel JFETs take
 * current, PNP inputs (4558, LM358) give it. Quiescent current is that of one amplifier.
 *
 * A range of the inputs stands where it ends about where the swing does or before: TL072, TL082, TL062 and LF353 turn
 * round, as the LF353 sheet says (from memory); LM741 and MC1458 reach ±13 V of ±15, OPA2134 2 V within either supply
 * without turning round, TLC2262 and TLC2272 −0.3 to 4.2 V of 5, all from memory. Other types' inputs reach as far as
 * their outputs.
 */

/** Every op-amp that can be fitted, in the order in which they are offered. */
export const OPAMPS: readonly OpampEntry[] = [
  ...GENERAL_PURPOSE_OPAMPS,
  ...LOW_NOISE_OPAMPS,
  ...JFET_OPAMPS,
  ...CMOS_OPAMPS,
  ...SINGLE_OPAMPS,
].map((entry) => {
  const output = OPAMP_OUTPUTS[entry.type];
  return output ? { ...entry, output, limits: [...entry.limits, ...output.points] } : entry;
});
