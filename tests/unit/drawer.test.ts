import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { orderRows } from '../../engine/analysis/order-list.ts';
import { orderCsv } from '../../engine/analysis/order-table.ts';
import { itemText, readBagLine } from '../../engine/builds/bag-line.ts';
import type { Build, PartSetting } from '../../engine/builds/build.ts';
import { type DrawerItem, lackingAt, stockOf, withItems } from '../../engine/builds/drawer.ts';
import { drawerCsv, readDrawer } from '../../engine/builds/drawer-file.ts';
import type { PartNeed } from '../../engine/builds/part-need.ts';
import { pairText, valuePairs } from '../../engine/builds/value-pairs.ts';
import { CATALOGUE } from '../../engine/parts/catalogue.ts';
import { preferredValues } from '../../engine/units/preferred-numbers.ts';
import { POT_LAWS } from '../../engine/units/taper.ts';
import { formatValue, parseValue } from '../../engine/units/value-code.ts';
import { presetBuild } from '../preset-build.ts';

const bags = (...lines: readonly string[]) =>
  withItems(
    [],
    lines.map((line) => readBagLine(line).item),
  );

describe('a line as on a bag', () => {
  // Lines as shops print them; common practice, no source.
  it.each([
    ['100x 4k7 1% 0.25W metal film', '100 × 4k7 resistor, 1 %, 0.25 W, metal film'],
    ['10 pcs 47n polyester 63V', '10 × 47n capacitor, 63 V, polyester'],
    ['5 x 2N3904', '5 × 2N3904 NPN transistor'],
    ['25 1N4148', '25 × 1N4148 diode'],
    ['B100k pot 16mm', '1 × 100k linear potentiometer'],
    ['A500K', '1 × 500k audio 15 % potentiometer'],
    ['2x dual 100kB pot', '2 × 100k linear dual-gang potentiometer'],
    ['47 nF 100 V MKT 5%  20 pcs', '20 × 47n capacitor, 5 %, 100 V, polyester'],
    ['104K', '1 × 100n capacitor, 10 %'],
    ['100K', '1 × 100k resistor'],
    ['473J 50V ceramic', '1 × 47n capacitor, 5 %, 50 V, ceramic'],
    ['100uF 25V electrolytic radial', '1 × 100u capacitor, 25 V, electrolytic'],
    ['470 ohm 1/4W', '1 × 470R resistor, 0.25 W'],
    ['470 resistor', '1 × 470R resistor'],
    ['50x 10 kΩ 1 % 0,25 W', '50 × 10k resistor, 1 %, 0.25 W'],
    ['10k 0805 1%', '1 × 10k resistor, 1 %'],
    ['10 red LED 5mm', '10 × LED-red diode'],
    ['3 TL072CP DIP-8', '3 × TL072 op-amp'],
    ['NE5532P', '1 × NE5532 op-amp'],
    ['100uF/25V', '1 × 100u capacitor, 25 V'],
    ['10u BP 25V', '1 × 10u capacitor, 25 V, bipolar electrolytic'],
    ['50k B x 3', '3 × 50k linear potentiometer'],
    ['500KA', '1 × 500k audio 15 % potentiometer'],
    ['100n film 7 x 5 mm', '1 × 100n capacitor, film'],
    ['3 TL072 DIP-8', '3 × TL072 op-amp'],
    ['100u 6V3', '1 × 100u capacitor, 6.3 V'],
    ['100k reverse log pot', '1 × 100k reverse audio 15 % potentiometer'],
  ])('%j is %s', (line, text) => {
    expect(itemText(readBagLine(line).item)).toBe(text);
  });

  it('says which words it passed over', () => {
    expect(readBagLine('B100k pot 16mm').ignored).toEqual(['16mm']);
    expect(readBagLine('5 x 2N3904 TO-92 onsemi').ignored).toEqual(['TO-92', 'onsemi']);
  });

  it.each([
    ['104', /^"104" is not understood: 104 alone can be a resistor or a capacitor/],
    ['', /^"" is not understood: it is empty/],
    ['0x 4k7', /a drawer takes 1 to 100000 of one part/],
    ['1,000x 10k', /"1,000x" is no number of parts/],
    ['-5x 10k', /"-5x" is no number of parts/],
    ['trimmer 10k', /a drawer takes no trimmers/],
    ['10k trim pot', /a drawer takes no trimmers/],
    ['hello', /names no value and no type/],
    ['x'.repeat(300), /has 300 characters/],
  ])('%j is refused with what to do', (line, message) => {
    expect(() => readBagLine(line)).toThrow(message);
  });

  it('is never taken for anything but a part, whatever is typed', () => {
    fc.assert(
      fc.property(fc.string({ maxLength: 60 }), (line) => {
        try {
          expect(readBagLine(line).item.count).toBeGreaterThan(0);
        } catch (error) {
          expect((error as Error).message).toMatch(/is not understood/);
        }
      }),
    );
  });
});

const code = (quantity: 'ohms' | 'farads', least: number) =>
  fc
    .tuple(fc.constantFrom(...preferredValues('E96')), fc.integer({ min: 0, max: 5 }))
    .map(([figures, power]) =>
      formatValue(parseValue(String(figures), 'ohms') * least * 10 ** power, quantity),
    );
const count = fc.integer({ min: 1, max: 999 });
const anyItem: fc.Arbitrary<DrawerItem> = fc.oneof(
  fc.record({
    kind: fc.constant('resistor' as const),
    value: code('ohms', 1),
    count,
    ratedW: fc.constantFrom(0.125, 0.25, 0.5, 1),
    tolerancePercent: fc.constantFrom(0.1, 1, 5),
    material: fc.constantFrom('metal film', 'carbon film', 'wirewound'),
  }),
  fc.record({
    kind: fc.constant('capacitor' as const),
    value: code('farads', 1e-14),
    count,
    ratedV: fc.constantFrom(6.3, 16, 63, 100),
    material: fc.constantFrom('polyester', 'C0G', 'X7R', 'electrolytic', 'ceramic', 'film'),
  }),
  fc.record({
    kind: fc.constant('pot' as const),
    value: code('ohms', 10),
    count,
    law: fc.constantFrom(...POT_LAWS),
  }),
  fc.record({
    kind: fc.constant('pot' as const),
    value: code('ohms', 10),
    count,
    law: fc.constantFrom(...POT_LAWS),
    isDual: fc.constant(true),
  }),
  fc
    .record({ entry: fc.constantFrom(...CATALOGUE), count })
    .map(({ entry, count: own }) => ({ kind: entry.kind, type: entry.type, count: own })),
);

describe('a drawer as a file', () => {
  it('reads back as it was written, every type of the catalogue and every taper', () => {
    fc.assert(
      fc.property(fc.array(anyItem, { maxLength: 6 }), (listed) => {
        const items = withItems([], listed);
        expect(readDrawer(drawerCsv(items))).toEqual({ items, problems: [] });
      }),
      { numRuns: 60 },
    );
    const all = CATALOGUE.map(({ kind, type }): DrawerItem => ({ kind, type, count: 2 }));
    expect(readDrawer(drawerCsv(all))).toEqual({ items: all, problems: [] });
  });

  it('names the lines that it does not understand, and takes the others', () => {
    const text = 'value,count,shelf\r\n4k7,10,3\r\nnonsense,2,4\r\n10k,many,5\r\n';
    const { items, problems } = readDrawer(text);
    expect(items.map(itemText)).toEqual(['10 × 4k7 resistor']);
    expect(problems).toHaveLength(2);
    expect(problems[0]).toMatch(/^Line 3: .*nonsense/);
    expect(problems[1]).toBe('Line 4: "many" is not a number of parts.');
  });

  it('is a table by any heading that is known, with commas, semicolons or tabs', () => {
    const read = (text: string) => readDrawer(text).items.map(itemText);
    const five = ['5 × 10k resistor'];
    expect(read('Qty,Value,Kind\n5,10k,resistor\n')).toEqual(five);
    expect(read('Kind;Part;pcs\nresistor;10k;5\n')).toEqual(five);
    expect(read('shelf\tvalue\tquantity\n7\t10k\t5\n')).toEqual(five);
    const list = orderCsv(orderRows(presetBuild('soft-plain')));
    expect(read(list)).toContain('6 × 10k resistor');
    expect(read(list).filter((text) => /R5|mm/.test(text))).toEqual([]);
  });

  it('is refused where it is a table without values, or with numbers under another heading', () => {
    expect(() => readDrawer('Value,Quantity needed,Kind\n10k,5,resistor')).toThrow(
      /the column "Quantity needed" may be the number of parts/,
    );
    expect(() => readDrawer('Stück,value\n5,10k')).toThrow(/the column "Stück" may be the number/);
    expect(() => readDrawer('count,kind\n5,resistor')).toThrow(/no column with the heading "value"/);
  });

  it('can be a list of lines as on bags', () => {
    expect(readDrawer('100x 4k7 1%\n\n25 1N4148\n').items.map(itemText)).toEqual([
      '100 × 4k7 resistor, 1 %',
      '25 × 1N4148 diode',
    ]);
  });

  it('is refused where it is longer than any workshop', () => {
    expect(() => readDrawer('4k7\n'.repeat(200_000))).toThrow(/it has 800000 characters/);
    const many = Array.from({ length: 3500 }, (_, index) => `${1000 + index}R 1%`).join('\n');
    expect(() => readDrawer(many)).toThrow(/more than 3000 different bags/);
  });
});

const need = (value: string, ratedV = 10): PartNeed => ({
  kind: 'capacitor',
  value: parseValue(value, 'farads'),
  ratedV,
});

describe('what a drawer covers', () => {
  it('has enough rating: a part without one is used, and named', () => {
    const items = bags('5x 100n film 63V', '3x 10u electrolytic 16V', '2x 10u electrolytic');
    const ten: PartNeed = { kind: 'capacitor', value: 1e-5, dielectric: 'electrolytic', ratedV: 10 };
    const { stocked, left } = stockOf(items, [
      { need: need('100n'), quantity: 6 },
      { need: ten, quantity: 4 },
      { need: { ...ten, ratedV: 25 }, quantity: 1 },
    ]);
    expect(stocked).toEqual([
      { owned: 5, unrated: 0 },
      { owned: 4, unrated: 1 },
      { owned: 1, unrated: 1 },
    ]);
    expect(left).toEqual([]);
  });

  it('is of the kind that the place asks for', () => {
    const stocked = (line: string, wanted: PartNeed) =>
      stockOf(bags(line), [{ need: wanted, quantity: 1 }]).stocked[0]!.owned;
    const open = need('1u');
    expect(stocked('1u film 63V', open)).toBe(1);
    expect(stocked('1u electrolytic 50V', open)).toBe(0);
    expect(stocked('1u film 63V', { ...open, dielectric: 'electrolytic' })).toBe(1);
    expect(stocked('1u X5R 25V', open)).toBe(0);
    // Common practice: from 2.2 uF up what names no material is electrolytic.
    expect(stocked('10u 25V', { ...need('10u'), dielectric: 'electrolytic' })).toBe(1);
    expect(stocked('10u bipolar 25V', { ...need('10u'), dielectric: 'electrolytic' })).toBe(1);
    expect(stocked('A100k pot', { kind: 'pot', value: 1e5, law: 'linear' })).toBe(0);
    expect(stocked('B100k pot', { kind: 'pot', value: 1e5, law: 'linear' })).toBe(1);
    expect(stocked('B100k pot', { kind: 'pot', value: 1e5, law: 'linear', isDual: true })).toBe(0);
    expect(stocked('1/4W 1k', { kind: 'resistor', value: 1000, ratedW: 0.5 })).toBe(0);
  });

  it('counts: a build that needs three of which two are owned lacks one', () => {
    const soft = presetBuild('soft-plain');
    const items = bags('2x 1k 0.25W', '10x 10k', '3x 1N4148');
    // R7, R10 and R11 have 1k.
    expect(lackingAt(items, soft, ['R10'])).toEqual([
      { need: { kind: 'resistor', value: 1000 }, quantity: 3, owned: 2 },
    ]);
    expect(lackingAt(items, soft, ['R3'])).toEqual([]);
    expect(lackingAt(items, soft, ['D1', 'D2'])).toEqual([]);
    const string: Build = {
      ...soft,
      parts: { ...soft.parts, D2: { type: '1N4148', count: 2 } satisfies PartSetting },
    };
    expect(lackingAt(items, string, ['D1'])).toMatchObject([{ quantity: 4, owned: 3 }]);
  });
});

describe('two parts for a missing value', () => {
  it('are the nearest of all pairs, by Ohm’s law', () => {
    const values = [1000, 1200, 1500, 2200, 3300, 4700, 10_000];
    const items = bags(...values.map((ohms) => `4x ${ohms} ohm`));
    const wanted = 3900;
    // Every pair, written out: series is the sum, parallel the product over the sum.
    const all = values.flatMap((a) => values.flatMap((b) => [a + b, (a * b) / (a + b)]));
    const best = Math.min(...all.map((ohms) => Math.abs(ohms / wanted - 1)));
    const [first] = valuePairs(items, { kind: 'resistor', value: wanted }, 1);
    expect(Math.abs(first!.error)).toBeCloseTo(best, 12);
    expect(valuePairs(items, { kind: 'resistor', value: 3700 }, 1)[0]).toMatchObject({
      wiring: 'series',
      values: ['2k2', '1k5'],
      error: 0,
    });
  });

  it('of capacitors add in parallel', () => {
    const items = bags('2x 22n film 63V', '1x 47n film 63V', '1x 100n film 63V');
    const pair = (value: string) => valuePairs(items, need(value), 1)[0]!;
    expect(pairText(pair('69n'))).toBe('47n and 22n in parallel (exact)');
    expect(pairText(pair('11n'))).toBe('22n and 22n in series (exact)');
  });

  it('need as many of each, and the rating', () => {
    const items = bags('2x 22n film 63V', '5x 10n film 6.3V');
    expect(valuePairs(items, need('44n'), 1)).toHaveLength(1);
    expect(valuePairs(items, need('44n'), 2)).toEqual([]);
    expect(valuePairs(items, need('20n'), 1)).toEqual([]);
    expect(valuePairs(items, { kind: 'diode', type: '1N4148' }, 1)).toEqual([]);
  });
});
