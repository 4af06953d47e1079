import { MOST_VALUE_CHARACTERS } from '../input/limits.ts';
import { Refusal } from '../input/refusal.ts';
import { quoted } from '../input/shown-text.ts';

/** What a value measures, by its SI unit. */
export type ValueQuantity = 'ohms' | 'farads' | 'henries' | 'volts';

/** A text that is not a usable part value. The message is one sentence, fit for the screen. */
export class ValueError extends Refusal {
  /** Text as typed or printed. */
  readonly text: string;
  /** The problem, and what to write instead. */
  readonly reason: string;
  constructor(text: string, expected: string, reason: string) {
    super('value', `${quoted(text)} is not a ${expected}: ${reason}.`);
    this.name = 'ValueError';
    this.text = text;
    this.reason = reason;
  }
}

interface Spelling {
  readonly name: string;
  /** Letters that stand for the decimal point or follow the number, with their power of ten. */
  readonly letters: Readonly<Record<string, number>>;
  /** Unit as written after the letter. */
  readonly unit: RegExp;
  /** Power of ten of a number without letter or unit; undefined where that would be a guess. */
  readonly bare: number | undefined;
  readonly example: string;
  readonly minimum: number;
  readonly maximum: number;
  /** Letters that `formatValue` writes, from the smallest power of ten up in steps of 1000; a space where the one before goes on. */
  readonly written: string;
  readonly smallestPower: number;
}

/**
 * Letters after IEC 60062, with the capitals and small letters that people type. A small m is refused for
 * resistors, where it nearly always means M; a capital M for capacitors, where it is a tolerance or the µ
 * of old American print. E for ohms is a habit of some makers ("470E").
 */
const SPELLINGS: Readonly<Record<ValueQuantity, Spelling>> = {
  ohms: {
    name: 'resistor value',
    letters: { R: 0, r: 0, k: 3, K: 3, M: 6, G: 9 },
    unit: /^(?:Ω|ohms?)$/i,
    bare: 0,
    example: 'write it like R47, 470R, 4k7 or 1M',
    minimum: 0.01,
    maximum: 1e9,
    written: 'RkMG',
    smallestPower: 0,
  },
  farads: {
    name: 'capacitor value',
    letters: { p: -12, P: -12, n: -9, N: -9, u: -6, U: -6, m: -3, F: 0 },
    unit: /^(?:fd?|farads?)$/i,
    bare: undefined,
    example: 'write it like 51p, 4n7, 47n or 2u2, or as the printed code, like 473',
    minimum: 1e-13,
    maximum: 1,
    // The trade writes 1000u, not the 1m0 of the standard.
    written: 'pnu F',
    smallestPower: -12,
  },
  henries: {
    name: 'inductor value',
    letters: { n: -9, u: -6, U: -6, m: -3, H: 0 },
    unit: /^(?:h|henr(?:y|ies))$/i,
    bare: undefined,
    example: 'write it with its unit, like 100uH, 4m7 or 2H5',
    minimum: 1e-9,
    maximum: 1000,
    written: 'numH',
    smallestPower: -9,
  },
  volts: {
    name: 'voltage',
    letters: { u: -6, m: -3, V: 0, v: 0, k: 3 },
    unit: /^(?:v|volts?)$/i,
    bare: 0,
    example: 'write it like 9, 9V or 4V7',
    minimum: 0,
    maximum: 1000,
    written: 'V',
    smallestPower: 0,
  },
};

/** Tolerance letters of IEC 60062 (Z: +80/−20 %); they say nothing about the value and are passed over. */
const TOLERANCE = /^[BCDFGJKMZ]$/;

/** Digits kept by `formatValue`: enough for any part, few enough to drop the noise of double arithmetic. */
const FORMAT_DIGITS = 10;

/**
 * Value of a part as typed or as printed on it, in SI units.
 *
 * Takes the letter as the decimal point (4k7, R47, 4µ7), a decimal point or comma with or without unit
 * (4.7k, 4,7 k, .047uF) and a tolerance letter after either (4K7J). For capacitors also what their bodies
 * carry: three digits are two figures and a power of ten in pF (104 = 100 nF, 479 = 4.7 pF), with or without
 * a capital tolerance letter (473J; 220K is 22 pF ±10 %); fewer digits are pF; a fraction below one is µF.
 * A bare number is ohms or volts; so three digits on a surface-mount resistor are not read as a code.
 *
 * Throws ValueError for anything else, and for a value that no such part has: resistors 0.01 Ω to 1 GΩ,
 * capacitors 0.1 pF to 1 F, inductors 1 nH to 1000 H, voltages 0 to 1000 V.
 * @see IEC 60062:2016
 */
export function parseValue(text: string, quantity: ValueQuantity): number {
  const spelling = SPELLINGS[quantity];
  const fail = (reason: string): never => {
    throw new ValueError(text, spelling.name, reason);
  };
  if (text.length > MOST_VALUE_CHARACTERS)
    return fail(`it has ${text.length} characters, and a value at most ${MOST_VALUE_CHARACTERS}`);
  const trimmed = plainLetters(text);
  if (trimmed === '') return fail(`it is empty; ${spelling.example}`);
  if (trimmed.startsWith('-')) return fail('it is negative');
  const value =
    (quantity === 'farads' ? printedOnCapacitor(trimmed) : undefined) ??
    written(trimmed.replace(/\s+/g, ''), spelling);
  if (value === undefined) return fail(advice(trimmed, quantity));
  if (value === 0 && quantity !== 'volts')
    return fail('it is zero; choose "not fitted" or "jumpered" instead');
  if (value < spelling.minimum || value > spelling.maximum) {
    const range = `${formatValue(spelling.minimum, quantity)} to ${formatValue(spelling.maximum, quantity)}`;
    return fail(`it would be ${formatValue(value, quantity)}, outside ${range}`);
  }
  return value;
}

/**
 * Letter-and-digit form of IEC 60062 with a small k: R47, 4R7, 470R, 4k7, 1M, 51p, 2u2, 2H5, 9V; 1000u, not 1m0.
 * The letter stands for the decimal point; as many figures as needed, at most `significantFigures`.
 * Inverse of `parseValue` within that rounding. Throws RangeError for a negative or non-finite value.
 */
export function formatValue(
  value: number,
  quantity: ValueQuantity,
  significantFigures: number = FORMAT_DIGITS,
): string {
  if (!(value >= 0 && Number.isFinite(value))) {
    throw new RangeError(`formatValue: ${value} ${quantity} is not a finite value of at least zero`);
  }
  const { written: letters, smallestPower } = SPELLINGS[quantity];
  const [mantissa = '0', exponent = '0'] = value.toExponential(significantFigures - 1).split('e');
  const figures = mantissa.replace('.', '').replace(/0+$/, '');
  const power = Number(exponent);
  const thousands = Math.min(Math.max(Math.floor((power - smallestPower) / 3), 0), letters.length - 1);
  const step = letters[thousands] === ' ' ? thousands - 1 : thousands;
  const wholeFigures = power - smallestPower - 3 * step + 1;
  const whole = figures.slice(0, Math.max(wholeFigures, 0)).padEnd(wholeFigures, '0');
  const fraction = '0'.repeat(Math.max(-wholeFigures, 0)) + figures.slice(Math.max(wholeFigures, 0));
  // R47 is the code's own form; volts are no marking code, and "V6" would not be read as 0.6 V.
  const leading = quantity === 'volts' && whole === '' ? '0' : whole;
  return `${leading}${letters[step]}${fraction}`;
}

/** Compatibility forms folded (µ, Ω, full-width digits), decimal comma to point, minus sign to hyphen. */
function plainLetters(text: string): string {
  const folded = text
    .normalize('NFKC')
    .trim()
    .replace(/μ/g, 'u')
    .replace(/\u2212/g, '-');
  // "4,700" may be 4.7 or 4700: leave its comma, so that it is refused.
  return /^\d+,\d{3}$/.test(folded) ? folded : folded.replace(/^([^,]*),([^,]*)$/, '$1.$2');
}

/** Value in farads of what a capacitor's body carries without a unit, or undefined. */
function printedOnCapacitor(text: string): number | undefined {
  const code = /^([1-9]\d)(\d)([A-Z]?)$/.exec(text);
  if (code && tolerated(code[3])) {
    const third = Number(code[2]);
    return decimal(code[1], '', -12 + (third < 8 ? third : third - 10));
  }
  if (/^[1-9]\d?$/.test(text)) return decimal(text, '', -12);
  const fraction = /^0?\.(\d+)([A-Z]?)$/.exec(text);
  if (fraction && tolerated(fraction[2])) return decimal('', fraction[1], -6);
  return undefined;
}

/**
 * Value of a number with letter, unit and tolerance, without spaces; undefined if it is none. Either there is a
 * decimal point between two groups of digits, or only one group: otherwise a long group could be split
 * anywhere.
 */
function written(text: string, spelling: Spelling): number | undefined {
  const withPoint = /^(\d*)(?:\.(\d*))?(\D*)$/.exec(text);
  if (withPoint && withPoint[1] + (withPoint[2] ?? '') !== '') {
    const power = powerOfSuffix(withPoint[3] ?? '', spelling);
    return power === undefined ? undefined : decimal(withPoint[1], withPoint[2], power);
  }
  const letterAsPoint = /^(\d*)([A-Za-z])(\d+)(\D*)$/.exec(text);
  if (!letterAsPoint) return undefined;
  const power = spelling.letters[letterAsPoint[2] ?? ''];
  if (power === undefined || !endsWell(letterAsPoint[4] ?? '', spelling)) return undefined;
  return decimal(letterAsPoint[1], letterAsPoint[3], power);
}

/** Power of ten that the letters after a number stand for. */
function powerOfSuffix(suffix: string, spelling: Spelling): number | undefined {
  if (suffix === '') return spelling.bare;
  if (spelling.unit.test(suffix)) return 0;
  if (spelling === SPELLINGS.ohms) {
    if (suffix === 'E') return 0;
    const meg = /^meg(.*)$/i.exec(suffix);
    if (meg) return endsWell(meg[1] ?? '', spelling) ? 6 : undefined;
  }
  if (spelling === SPELLINGS.farads) {
    // Old American print: MFD is µF, MMF and MMFD (µµF) are pF.
    if (/^mfd$/i.test(suffix)) return -6;
    if (/^(?:mm|uu)fd?$/i.test(suffix)) return -12;
  }
  const power = spelling.letters[suffix.charAt(0)];
  return power !== undefined && endsWell(suffix.slice(1), spelling) ? power : undefined;
}

/** Nothing, the unit or a tolerance letter. */
function endsWell(rest: string, spelling: Spelling): boolean {
  return rest === '' || spelling.unit.test(rest) || TOLERANCE.test(rest);
}

function tolerated(letter: string | undefined): boolean {
  return !letter || TOLERANCE.test(letter);
}

/** The double nearest to whole.fraction × 10^power: by its decimal text, since products would round twice. */
function decimal(whole: string | undefined, fraction: string | undefined, power: number): number {
  return Number(`${whole || '0'}.${fraction || '0'}e${power}`);
}

/** Why a text was not understood, for common mistakes. */
function advice(text: string, quantity: ValueQuantity): string {
  const spelling = SPELLINGS[quantity];
  if (/^\d+,\d{3}$/.test(text)) return `its comma may mean a point or thousands; ${spelling.example}`;
  if (quantity === 'ohms' && /^[\d.]+\s*m/.test(text)) {
    return 'a small m is a thousandth; for megohms write a capital M, like 1M';
  }
  if (quantity === 'farads') {
    if (/^\d*k\d*$/i.test(text)) {
      return 'a k is a thousand, and no capacitor is that large (a printed code such as 220K is 22p)';
    }
    if (/^[\d.]+$/.test(text)) return `a number alone may be pF or uF; ${spelling.example}`;
  }
  return spelling.example;
}
