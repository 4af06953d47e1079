import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  nearestPreferred,
  type PreferredSeries,
  preferredValues,
  stepPreferred,
} from '../../engine/units/preferred-numbers.ts';

const SERIES: readonly PreferredSeries[] = ['E6', 'E12', 'E24', 'E48', 'E96', 'E192'];
const series = fc.constantFrom(...SERIES);
/** The range of part values, 0.1 pF to 1 GΩ. */
const partValue = fc.double({ min: -13, max: 9, noNaN: true }).map((power) => 10 ** power);

describe('preferred numbers of IEC 60063', () => {
  it('has the standard values of E6, E12 and E24', () => {
    const tenths = (name: PreferredSeries) => preferredValues(name).map((value) => value / 10);
    expect(tenths('E6')).toEqual([10, 15, 22, 33, 47, 68]);
    expect(tenths('E12')).toEqual([10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82]);
    expect(tenths('E24')).toEqual([
      10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91,
    ]);
  });

  it('differs from the formula in exactly eight values of E24', () => {
    const departing = preferredValues('E24').filter(
      (value, index) => value !== 10 * Math.round(10 * 10 ** (index / 24)),
    );
    expect(departing).toEqual([270, 300, 330, 360, 390, 430, 470, 820]);
  });

  it('has as many values in each decade as the name says, all increasing', () => {
    for (const name of SERIES) {
      const values = preferredValues(name);
      expect(values).toHaveLength(Number(name.slice(1)));
      expect([...values].sort((a, b) => a - b)).toEqual(values);
    }
  });

  it('starts and ends E96 as the standard prints it', () => {
    expect(preferredValues('E96').slice(0, 4)).toEqual([100, 102, 105, 107]);
    expect(preferredValues('E96').slice(-2)).toEqual([953, 976]);
  });

  it('has every value of E48 in E96, and every value of E96 in E192', () => {
    expect(preferredValues('E96').filter((_, index) => index % 2 === 0)).toEqual(preferredValues('E48'));
    expect(preferredValues('E192').filter((_, index) => index % 2 === 0)).toEqual(preferredValues('E96'));
  });

  it('has 920 in E192 instead of 919 (from memory)', () => {
    expect(preferredValues('E192')).toContain(920);
    expect(preferredValues('E192')).not.toContain(919);
  });
});

describe('nearest preferred value', () => {
  it('is nearest by ratio, also across decades', () => {
    expect(nearestPreferred(5000, 'E6')).toBe(4700);
    expect(nearestPreferred(990, 'E12')).toBe(1000);
    expect(nearestPreferred(50e-12, 'E24')).toBe(51e-12);
    expect(nearestPreferred(0.9e-6, 'E6')).toBe(1e-6);
  });

  it('is at most half the widest step of the series away', () => {
    fc.assert(
      fc.property(partValue, series, (value, name) => {
        const values = [...preferredValues(name), 1000];
        const widest = Math.max(...values.slice(1).map((upper, index) => upper / values[index]!));
        const ratio = nearestPreferred(value, name) / value;
        // Equal in the geometric middle, so a tolerance of a few roundings.
        expect(Math.abs(Math.log(ratio))).toBeLessThanOrEqual(0.5 * Math.log(widest) + 1e-12);
      }),
    );
  });

  it('does not change a value of the series', () => {
    fc.assert(
      fc.property(partValue, series, (value, name) => {
        const nearest = nearestPreferred(value, name);
        expect(nearestPreferred(nearest, name)).toBe(nearest);
      }),
    );
  });

  it('refuses zero and negative values', () => {
    expect(() => nearestPreferred(0, 'E12')).toThrow(RangeError);
    expect(() => nearestPreferred(-1, 'E12')).toThrow(RangeError);
  });
});

describe('stepping through a series', () => {
  it('goes to the next values of the series', () => {
    expect(stepPreferred(4700, 'E12', 1)).toBe(5600);
    expect(stepPreferred(4700, 'E12', -1)).toBe(3900);
    expect(stepPreferred(1e6, 'E6', -1)).toBe(680e3);
    expect(stepPreferred(82e-9, 'E12', 1)).toBe(100e-9);
    expect(stepPreferred(47e-9, 'E6', 6)).toBe(470e-9);
  });

  it('goes from a value between two to the next value on that side', () => {
    expect(stepPreferred(5000, 'E12', 1)).toBe(5600);
    expect(stepPreferred(5000, 'E12', -1)).toBe(4700);
    expect(stepPreferred(5000, 'E12', -2)).toBe(3900);
    expect(stepPreferred(5000, 'E12', 0)).toBe(4700);
  });

  it('is back at the same value after as many steps back', () => {
    fc.assert(
      fc.property(partValue, series, fc.integer({ min: -30, max: 30 }), (value, name, steps) => {
        const start = nearestPreferred(value, name);
        expect(stepPreferred(stepPreferred(start, name, steps), name, -steps)).toBe(start);
      }),
    );
  });

  it('refuses fractions of steps', () => {
    expect(() => stepPreferred(1000, 'E12', 0.5)).toThrow(RangeError);
  });
});
