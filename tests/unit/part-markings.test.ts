import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { capacitorMarking, threeFigureCode, toleranceLetter } from '../../engine/units/capacitor-marking.ts';
import { colourBands } from '../../engine/units/colour-bands.ts';
import { ratedVolts, ratedWatts } from '../../engine/units/rating-series.ts';
import { parseValue } from '../../engine/units/value-code.ts';

/**
 * The colour code as every table prints it: figure and multiplier of each colour, and its tolerance, %.
 * IEC 60062:2016, table 1; from memory.
 */
const TABLE = [
  ['pink', undefined, -3, undefined],
  ['silver', undefined, -2, 10],
  ['gold', undefined, -1, 5],
  ['black', 0, 0, undefined],
  ['brown', 1, 1, 1],
  ['red', 2, 2, 2],
  ['orange', 3, 3, 0.05],
  ['yellow', 4, 4, 0.02],
  ['green', 5, 5, 0.5],
  ['blue', 6, 6, 0.25],
  ['violet', 7, 7, 0.1],
  ['grey', 8, 8, 0.01],
  ['white', 9, 9, undefined],
] as const;

/** Reads bands with the table. */
function read(bands: readonly string[]): { readonly ohms: number; readonly tolerance: number | undefined } {
  const row = (colour: string) => TABLE.find(([name]) => name === colour)!;
  const figures = bands.slice(0, -2).map((colour) => row(colour)[1]!);
  const power = row(bands.at(-2)!)[2];
  return { ohms: Number(`${figures.join('')}e${power}`), tolerance: row(bands.at(-1)!)[3] };
}

describe('the colour bands of a resistor', () => {
  it('are those of the table, for every figure, multiplier and tolerance', () => {
    for (const [colour, , power, tolerance] of TABLE) {
      expect(colourBands(4.7 * 10 ** (power + 1), 4, 5)?.[2]).toBe(power < -3 ? undefined : colour);
      if (tolerance !== undefined) expect(colourBands(1000, 5, tolerance)?.[4]).toBe(colour);
    }
    for (const [colour, figure] of TABLE)
      if (figure !== undefined && figure > 0) expect(colourBands(figure * 1000, 4, 5)?.[0]).toBe(colour);
  });

  it('are the well-known ones of three values', () => {
    expect(colourBands(4700, 4, 5)).toEqual(['yellow', 'violet', 'red', 'gold']);
    expect(colourBands(49_900, 5, 1)).toEqual(['yellow', 'white', 'white', 'red', 'brown']);
    expect(colourBands(0.47, 4, 10)).toEqual(['yellow', 'violet', 'silver', 'silver']);
  });

  it('are read back as the value by the table', () => {
    const value = fc.record({
      figures: fc.integer({ min: 100, max: 999 }),
      power: fc.integer({ min: -3, max: 6 }),
    });
    fc.assert(
      fc.property(value, ({ figures, power }) => {
        const ohms = Number(`${figures}e${power}`);
        const five = read(colourBands(ohms, 5, 1)!);
        expect(five.ohms / ohms).toBeCloseTo(1, 12);
        expect(five.tolerance).toBe(1);
        const four = colourBands(ohms, 4, 5);
        if (figures % 10 === 0) expect(read(four!).ohms / ohms).toBeCloseTo(1, 12);
        else expect(four).toBeUndefined();
      }),
    );
  });
});

describe('the marking of a capacitor', () => {
  // IEC 60062:2016, clause 5; examples as printed on parts, from memory.
  it.each([
    ['100n', '104'],
    ['4n7', '472'],
    ['47p', '470'],
    ['100p', '101'],
    ['1u', '105'],
    ['4p7', '479'],
    ['p47', '478'],
  ])('of %s has the figures %s', (value, code) => {
    expect(threeFigureCode(parseValue(value, 'farads'))).toBe(code);
    expect(parseValue(code, 'farads')).toBeCloseTo(parseValue(value, 'farads'), 18);
  });

  it('has the letter of its tolerance, and no figures for three of them', () => {
    expect([1, 2, 5, 10, 20].map(toleranceLetter)).toEqual(['F', 'G', 'J', 'K', 'M']);
    expect(capacitorMarking(4.7e-9, 5)).toBe('472J or 4n7J');
    expect(capacitorMarking(1.25e-9, 10)).toBe('1n25K');
  });
});

describe('the rating to buy', () => {
  it('is a standard one above what a part sees with its margin: never 16 V at 16.3 V', () => {
    expect([3, 6.3, 12.6, 12.81, 16.3, 25.2].map(ratedVolts)).toEqual([6.3, 10, 16, 25, 25, 35]);
    expect([0.01, 0.13, 0.3].map(ratedWatts)).toEqual([0.25, 0.5, 1]);
    expect(ratedVolts(600)).toBeUndefined();
  });
});
