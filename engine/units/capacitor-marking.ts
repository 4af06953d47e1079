import { formatValue } from './value-code.ts';

/** Letters of symmetrical tolerances, by percent. @see IEC 60062:2016, table 4 */
const TOLERANCE_LETTERS: ReadonlyMap<number, string> = new Map([
  [0.1, 'B'],
  [0.25, 'C'],
  [0.5, 'D'],
  [1, 'F'],
  [2, 'G'],
  [5, 'J'],
  [10, 'K'],
  [20, 'M'],
  [30, 'N'],
]);

/** The letter of a tolerance in percent; undefined for one that has none. */
export function toleranceLetter(percent: number): string | undefined {
  return TOLERANCE_LETTERS.get(percent);
}

/** The tolerance in percent of a letter; undefined for one that has none. */
export function toleranceOfLetter(letter: string): number | undefined {
  return [...TOLERANCE_LETTERS].find(([, own]) => own === letter)?.[0];
}

/**
 * Three figures on a capacitor: two of the value and the power of ten in pF, "104" for 100 nF; a 9 stands for a tenth ("479" is
 * 4.7 pF), an 8 for a hundredth.
 *
 * @returns Undefined for a value with more than two figures, or outside of what the code reaches.
 * @see IEC 60062:2016, clause 5
 */
export function threeFigureCode(farads: number): string | undefined {
  const [mantissa = '', power = ''] = (farads * 1e12).toExponential(1).split('e');
  if (Math.abs(Number(`${mantissa}e${power}`) / (farads * 1e12) - 1) > 1e-9) return undefined;
  const exponent = Number(power) - 1;
  if (exponent < -2 || exponent > 7) return undefined;
  return `${mantissa.replace('.', '')}${exponent < 0 ? exponent + 10 : exponent}`;
}

/** Both codes with the letter of the tolerance, as they stand on a capacitor: "104K or 100nK". */
export function capacitorMarking(farads: number, tolerancePercent: number): string {
  const letter = toleranceLetter(tolerancePercent) ?? '';
  const code = threeFigureCode(farads);
  const written = `${formatValue(farads, 'farads')}${letter}`;
  return code === undefined ? written : `${code}${letter} or ${written}`;
}
