import type { ConverterEntry } from './catalogue-entry.ts';

/** Frequency at which a converter charges and discharges its pump capacitors: half of its oscillator's, Hz. */
export function pumpHz({ oscillatorHz, boostedOscillatorHz }: ConverterEntry, isBoosted: boolean): number {
  return (isBoosted ? (boostedOscillatorHz ?? oscillatorHz) : oscillatorHz) / 2;
}

/**
 * Output resistance of one output of a charge pump, ohms: that of the switches, and of the charge that the pump capacitor
 * carries from input to output in each cycle.
 *
 *   R = R_switches + 1/(f·C)          f = half the oscillator's frequency
 *
 * R_switches is what the sheet's figure leaves after 1/(f·C) of the sheet's own test. What the capacitor loses in its own
 * resistance (4 times its ESR) is in the sheet's figure, and does not change with the capacitor here.
 *
 * @param farads Pump capacitor.
 * @see Data sheets of the 7660: R_O = 2(R_SW1 + R_SW3 + ESR) + 2(R_SW2 + R_SW4 + ESR) + 1/(f_pump·C1) + ESR, f_pump =
 * f_osc/2; 46 + 20 ohms at 10 kHz and 10 µF (from memory).
 */
export function pumpedOutputOhms(entry: ConverterEntry, farads: number, isBoosted: boolean): number {
  const inSheet = 1 / (pumpHz(entry, false) * entry.sheetPumpFarads);
  const switches = Math.max(0, entry.outputOhms - inSheet);
  return switches + chargeOhms(entry, farads, isBoosted);
}

/** The part of it that the charge of the pump capacitor makes, ohms. */
export function chargeOhms(entry: ConverterEntry, farads: number, isBoosted: boolean): number {
  return 1 / (pumpHz(entry, isBoosted) * farads);
}
