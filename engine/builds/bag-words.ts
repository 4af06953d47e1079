import type { PotLaw } from '../units/taper.ts';
import type { BagKind } from './part-need.ts';

/** Words on bags, in English and German, and what they say; the first that matches holds. Common practice, no source. */
export const MATERIALS: readonly (readonly [RegExp, material: string, kind: 'resistor' | 'capacitor'])[] = [
  [/\b(metal[ -]?film|metallfilm|metallschicht|mf|mfr)\b/i, 'metal film', 'resistor'],
  [/\b(carbon[ -]?film|kohleschicht|cfr)\b/i, 'carbon film', 'resistor'],
  [/\bcarbon( comp(osition)?)?\b/i, 'carbon', 'resistor'],
  [/\bmetal[ -]?oxide\b/i, 'metal oxide', 'resistor'],
  [/\bwire[ -]?wound\b/i, 'wirewound', 'resistor'],
  [/\b(polyester|mylar|mkt|mks|mkse)\b/i, 'polyester', 'capacitor'],
  [/\b(polypropylene|mkp|fkp)\b/i, 'polypropylene', 'capacitor'],
  [/\b(polystyrene|styroflex)\b/i, 'polystyrene', 'capacitor'],
  [/\b(c0g|cog|np0|npo)\b/i, 'C0G', 'capacitor'],
  [/\bx7r\b/i, 'X7R', 'capacitor'],
  [/\bx5r\b/i, 'X5R', 'capacitor'],
  [/\b(ceramic|mlcc|disc|keramik\w*)\b/i, 'ceramic', 'capacitor'],
  [/\b(bipolar|bp|non[ -]?polar(i[sz]ed)?)([ -]electrolytic)?\b/i, 'bipolar electrolytic', 'capacitor'],
  [/\b(electrolytic|elektrolyt\w*|elkos?|elco)\b/i, 'electrolytic', 'capacitor'],
  [/\btantalum\b/i, 'tantalum', 'capacitor'],
  [/\b(film|box|folien?\w*)\b/i, 'film', 'capacitor'],
];
export const KINDS: readonly (readonly [RegExp, BagKind])[] = [
  [/\b(resistors?|res)\b|^R(?=\s)|\bwiderst(and|ände)(?!\p{L})/iu, 'resistor'],
  [/\b(capacitors?|caps?|kondensator(en)?)\b|^C(?=\s)/i, 'capacitor'],
  [/\b(pots?|potis?|potentiometers?)\b/i, 'pot'],
  [/\b(inductors?|chokes?|coils?)\b/i, 'inductor'],
];
export const TAPERS: readonly (readonly [RegExp, PotLaw])[] = [
  [/\b(reverse|anti)[ -]?(log|audio)\b/i, 'reverse-audio-15'],
  [/\b(log(arithmic)?|audio)\b/i, 'audio-15'],
  [/\blin(ear)?\b/i, 'linear'],
  [/\bs-shaped\b/i, 's-shaped'],
];

/** Figures of rated voltages by their letters on capacitors; the digit before is the power of ten: 1H is 50 V. From memory: JIS C 5101. */
const VOLT_FIGURES: Readonly<Record<string, number>> = {
  A: 1,
  B: 1.25,
  C: 1.6,
  D: 2,
  E: 2.5,
  F: 3.15,
  G: 4,
  H: 5,
  J: 6.3,
  K: 8,
  V: 3.5,
  W: 4.5,
};

/** A capacitor's code of voltage, value and tolerance, "2A104J", as volts and the rest; undefined for any other word. */
export function ratedCode(word: string): { readonly volts: number; readonly rest: string } | undefined {
  const [, power, letter, rest] = /^([0-3])([A-HJKVW])(\d{3}[FGJKM])$/.exec(word) ?? [];
  if (power === undefined || letter === undefined || rest === undefined) return undefined;
  return { volts: Number((VOLT_FIGURES[letter]! * 10 ** Number(power)).toPrecision(3)), rest };
}
