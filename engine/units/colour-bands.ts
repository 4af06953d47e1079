/** Colours of the bands on a resistor. */
export type BandColour =
  | 'pink'
  | 'silver'
  | 'gold'
  | 'black'
  | 'brown'
  | 'red'
  | 'orange'
  | 'yellow'
  | 'green'
  | 'blue'
  | 'violet'
  | 'grey'
  | 'white';

/** Figures 0 to 9. */
const FIGURES: readonly BandColour[] = [
  'black',
  'brown',
  'red',
  'orange',
  'yellow',
  'green',
  'blue',
  'violet',
  'grey',
  'white',
];
/** Multipliers below one, by their power of ten. */
const SMALL: Readonly<Record<string, BandColour>> = { '-3': 'pink', '-2': 'silver', '-1': 'gold' };
/** By tolerance in percent. */
const TOLERANCES: ReadonlyMap<number, BandColour> = new Map([
  [0.01, 'grey'],
  [0.02, 'yellow'],
  [0.05, 'orange'],
  [0.1, 'violet'],
  [0.25, 'blue'],
  [0.5, 'green'],
  [1, 'brown'],
  [2, 'red'],
  [5, 'gold'],
  [10, 'silver'],
]);

/**
 * Bands of a resistor from the end where they begin: the figures, the multiplier, the tolerance. Four bands have two figures, as
 * parts of 5 % and more have them; five bands three, as those of 2 % and less.
 *
 * @param tolerancePercent One of the table: 0.01 to 10.
 * @returns Undefined for a value with more figures, or outside of what the multipliers reach.
 * @see IEC 60062:2016, table 1
 */
export function colourBands(
  ohms: number,
  count: 4 | 5,
  tolerancePercent: number,
): readonly BandColour[] | undefined {
  const tolerance = TOLERANCES.get(tolerancePercent);
  if (!(ohms > 0 && Number.isFinite(ohms)) || tolerance === undefined) return undefined;
  const figures = count - 2;
  const [mantissa = '', power = ''] = ohms.toExponential(figures - 1).split('e');
  if (Math.abs(Number(`${mantissa}e${power}`) / ohms - 1) > 1e-9) return undefined;
  const exponent = Number(power) - figures + 1;
  const multiplier = exponent < 0 ? SMALL[exponent] : FIGURES[exponent];
  if (multiplier === undefined) return undefined;
  return [...[...mantissa.replace('.', '')].map((digit) => FIGURES[Number(digit)]!), multiplier, tolerance];
}
