import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { formatValue, parseValue, ValueError, type ValueQuantity } from '../../engine/units/value-code.ts';

/** The double nearest to the decimal figure: values are read by their decimal text, so equality is exact. */
const READ: Readonly<Record<ValueQuantity, readonly (readonly [string, number])[]>> = {
  ohms: [
    // IEC 60062:2016 marking.
    ['R47', 0.47],
    ['4R7', 4.7],
    ['470R', 470],
    ['4K7', 4700],
    ['47K3', 47300],
    ['4M7', 4.7e6],
    // As typed.
    ['4.7k', 4700],
    ['4,7k', 4700],
    ['4k7', 4700],
    ['4.7 kΩ', 4700],
    ['4.7\u00a0k\u2126', 4700],
    ['4k7 ohm', 4700],
    ['1M', 1e6],
    ['1meg', 1e6],
    ['1.5Meg', 1.5e6],
    ['470', 470],
    ['10r', 10],
    ['470E', 470],
    ['.5', 0.5],
    ['47 ohms', 47],
    // With a tolerance letter.
    ['4K7J', 4700],
    ['10kF', 10e3],
    ['R47K', 0.47],
    // The limits themselves are valid parts.
    ['R01', 0.01],
    ['1G', 1e9],
  ],
  farads: [
    ['47nF', 47e-9],
    ['47n', 47e-9],
    ['47 nF', 47e-9],
    ['0.047u', 47e-9],
    ['.047uF', 47e-9],
    ['0,047 µF', 47e-9],
    ['4n7', 4.7e-9],
    ['4\u00b57', 4.7e-6],
    ['4\u03bc7', 4.7e-6],
    ['4u7F', 4.7e-6],
    ['51p', 51e-12],
    ['51pf', 51e-12],
    ['47N', 47e-9],
    ['p5', 0.5e-12],
    ['n47', 0.47e-9],
    ['1m', 1e-3],
    ['1m0', 1e-3],
    ['1000u', 1e-3],
    ['2200 µF', 2.2e-3],
    ['4m7', 4.7e-3],
    ['1F', 1],
    ['4n7K', 4.7e-9],
    ['100nJ', 100e-9],
    // Old American notation.
    ['10 MFD', 10e-6],
    ['.05mfd', 0.05e-6],
    ['250 mmfd', 250e-12],
    // Printed codes: two figures and a power of ten in pF; 8 and 9 mean hundredths and tenths.
    ['104', 100e-9],
    ['473J', 47e-9],
    ['220K', 22e-12],
    ['102', 1e-9],
    ['100', 10e-12],
    ['479', 4.7e-12],
    ['508', 0.5e-12],
    ['104M', 100e-9],
    ['107', 100e-6],
    ['103F', 10e-9],
    ['104Z', 100e-9],
    // Fewer digits are pF; a fraction is µF.
    ['47', 47e-12],
    ['5', 5e-12],
    ['0.1', 0.1e-6],
    ['.0022K', 2.2e-9],
  ],
  henries: [
    ['100uH', 100e-6],
    ['4m7', 4.7e-3],
    ['2H5', 2.5],
    ['2.5 H', 2.5],
    ['470 mH', 0.47],
    ['1n', 1e-9],
  ],
  volts: [
    ['9', 9],
    ['9V', 9],
    ['4V7', 4.7],
    ['5v1', 5.1],
    ['9.6 V', 9.6],
    ['500mV', 0.5],
    ['0', 0],
  ],
};

const REFUSED: Readonly<Record<ValueQuantity, readonly (readonly [string, RegExp])[]>> = {
  ohms: [
    ['', /it is empty/],
    ['   ', /it is empty/],
    ['red', /write it like/],
    ['4k7k', /write it like/],
    ['4.7k5', /write it like/],
    ['k', /write it like/],
    ['.', /write it like/],
    ['47n', /write it like/],
    ['4,7,1', /write it like/],
    ['1.2.3', /write it like/],
    ['1e6', /write it like/],
    ['4E7', /write it like/],
    ['4,700', /comma may mean/],
    ['-4k7', /negative/],
    ['\u221210', /negative/],
    ['0', /zero/],
    ['0R', /zero/],
    ['1m', /small m is a thousandth/],
    ['R009', /outside R01 to 1G/],
    ['1.1G', /outside R01 to 1G/],
    ['constructor', /write it like/],
    ['4constructor', /write it like/],
  ],
  farads: [
    ['220k', /k is a thousand/],
    ['4k7', /k is a thousand/],
    ['47K', /k is a thousand/],
    ['2.2', /may be pF or uF/],
    ['4700', /may be pF or uF/],
    ['047', /may be pF or uF/],
    ['4R7', /write it like/],
    ['10M', /write it like/],
    ['104X', /write it like/],
    ['104j', /write it like/],
    ['100 F', /it would be 100F, outside p1 to 1F/],
    ['0.05p', /outside p1 to 1F/],
    ['0n', /zero/],
    ['-47n', /negative/],
  ],
  henries: [
    ['100', /with its unit/],
    ['4R7', /with its unit/],
    ['2000H', /outside 1n to 1000H/],
    ['0H', /zero/],
  ],
  volts: [
    ['-9', /negative/],
    ['2kV', /outside 0V to 1000V/],
    ['nine', /write it like/],
  ],
};

const QUANTITIES: readonly ValueQuantity[] = ['ohms', 'farads', 'henries', 'volts'];

describe('reading part values', () => {
  for (const quantity of QUANTITIES) {
    it.each(READ[quantity])(`reads %j as %d ${quantity}`, (text, value) => {
      expect(parseValue(text, quantity)).toBe(value);
    });
    it.each(REFUSED[quantity])(`refuses %j in ${quantity} and says why`, (text, reason) => {
      expect(() => parseValue(text, quantity)).toThrow(ValueError);
      expect(() => parseValue(text, quantity)).toThrow(reason);
    });
  }

  it('keeps the typed text beside the reason, in one sentence', () => {
    try {
      parseValue(' 220k', 'farads');
      expect.unreachable();
    } catch (error) {
      expect(error).toMatchObject({ name: 'ValueError', text: ' 220k' });
      expect((error as ValueError).message).toBe(
        '" 220k" is not a capacitor value: a k is a thousand, and no capacitor is that large (a printed code such as 220K is 22p).',
      );
    }
  });

  it('throws only ValueError, whatever is typed', () => {
    const typed = fc.string({ unit: fc.constantFrom(...'0123456789.,kKMmRrnpuµFfHVΩ- JeE'), maxLength: 7 });
    fc.assert(
      fc.property(typed, fc.constantFrom(...QUANTITIES), (text, quantity) => {
        try {
          expect(parseValue(text, quantity)).toBeGreaterThanOrEqual(0);
        } catch (error) {
          expect(error).toBeInstanceOf(ValueError);
        }
      }),
    );
  });
});

describe('writing part values', () => {
  it.each([
    [4700, 'ohms', '4k7'],
    [0.47, 'ohms', 'R47'],
    [0.047, 'ohms', 'R047'],
    [470, 'ohms', '470R'],
    [10, 'ohms', '10R'],
    [47300, 'ohms', '47k3'],
    [1e6, 'ohms', '1M'],
    [1e9, 'ohms', '1G'],
    [47e-9, 'farads', '47n'],
    [51e-12, 'farads', '51p'],
    [2.2e-6, 'farads', '2u2'],
    [0.5e-12, 'farads', 'p5'],
    // Shops and builders write these in µF; IEC 60062 would write 1m0. Common practice, no source.
    [1e-3, 'farads', '1000u'],
    [4.7e-3, 'farads', '4700u'],
    [0.1, 'farads', '100000u'],
    [1, 'farads', '1F'],
    [2.5, 'henries', '2H5'],
    [100e-6, 'henries', '100u'],
    [9, 'volts', '9V'],
    [4.7, 'volts', '4V7'],
    [0.6, 'volts', '0V6'],
    [0, 'volts', '0V'],
  ] as const)('writes %d %s as %s', (value, quantity, text) => {
    expect(formatValue(value, quantity)).toBe(text);
  });

  it('drops rounding errors and goes on to the next letter where needed', () => {
    expect(formatValue(0.1 + 0.2, 'ohms')).toBe('R3');
    expect(formatValue(999.9999999999, 'ohms')).toBe('1k');
    expect(formatValue(4712.3, 'ohms', 3)).toBe('4k71');
    expect(formatValue(999.6, 'ohms', 3)).toBe('1k');
  });

  it('is read back as the same value', () => {
    const ranges: Readonly<Record<ValueQuantity, readonly [number, number]>> = {
      ohms: [-2, 8],
      farads: [-13, -1],
      henries: [-9, 2],
      volts: [-3, 2],
    };
    const figures = fc.integer({ min: 100, max: 999 });
    for (const quantity of QUANTITIES) {
      const [min, max] = ranges[quantity];
      fc.assert(
        fc.property(figures, fc.integer({ min, max }), (three, decade) => {
          const value = three * 10 ** (decade - 2);
          const back = parseValue(formatValue(value, quantity), quantity);
          // Ten figures are written; the product above differs from the decimal figure by rounding.
          expect(Math.abs(back / value - 1)).toBeLessThan(1e-9);
        }),
      );
    }
  });

  it('refuses values that no part has', () => {
    expect(() => formatValue(-1, 'ohms')).toThrow(RangeError);
    expect(() => formatValue(Number.NaN, 'farads')).toThrow(RangeError);
  });
});
