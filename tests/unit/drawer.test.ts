import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { orderRows } from '../../engine/analysis/order-list.ts';
import { orderCsv } from '../../engine/analysis/order-table.ts';
import { readBagLine } from '../../engine/builds/bag-line.ts';
import { itemText } from '../../engine/builds/bag-text.ts';
import type { Build, PartSetting } from '../../engine/builds/build.ts';
import { type DrawerItem, lackingAt, stockOf, withItems } from '../../engine/builds/drawer.ts';
import { drawerCsv, readDrawer } from '../../engine/builds/drawer-file.ts';
import { hardwareOf } from '../../engine/builds/hardware.ts';
import type { PartNeed } from '../../engine/builds/part-need.ts';
import { allocatedPairs, nearestPair, pairText } from '../../engine/builds/value-pairs.ts';
import { CATALOGUE } from '../../engine/parts/catalogue.ts';
import { preferredValues } from '../../engine/units/preferred-numbers.ts';
import { POT_LAWS, type PotLaw } from '../../engine/units/taper.ts';
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
    ['1N4148 (50)', '50 × 1N4148 diode'],
    ['4k7 (100 pcs)', '100 × 4k7 resistor'],
    ['(100) 4k7', '100 × 4k7 resistor'],
    ['10k 50x', '50 × 10k resistor'],
    ['Qty 20 2N3904', '20 × 2N3904 NPN transistor'],
    ['2N3904 x20', '20 × 2N3904 NPN transistor'],
    ['MAX1044 x2', '2 × MAX1044 converter'],
    ['C 104 50V x30', '30 × 100n capacitor, 50 V'],
    ['R 470 x 10', '10 × 470R resistor'],
    // Letters for the voltage after JIS C 5101, from memory: 2A is 100 V, 1H 50 V, 0J 6.3 V.
    ['2A104J x20', '20 × 100n capacitor, 5 %, 100 V'],
    ['1H225K', '1 × 2u2 capacitor, 10 %, 50 V'],
    ['0J106M', '1 × 10u capacitor, 20 %, 6.3 V'],
    ['Widerstand 4,7kΩ 1% 0,25W Metallfilm 100 Stück', '100 × 4k7 resistor, 1 %, 0.25 W, metal film'],
    ['4,7k 1% 0,6W Metallschicht 100 Stk.', '100 × 4k7 resistor, 1 %, 0.6 W, metal film'],
    ['Elko 47uF 25V 10 Stk.', '10 × 47u capacitor, 25 V, electrolytic'],
    ['Folienkondensator 0,047uF 63V', '1 × 47n capacitor, 63 V, film'],
    ['1000uF 25V x2', '2 × 1000u capacitor, 25 V'],
    ['3PDT', '1 × footswitch 3PDT'],
    ['1/4" mono jack x2', '2 × jack mono'],
    ['TL072 DIP-8 (5)', '5 × TL072 op-amp'],
    ['B100k pot with knob x2', '2 × 100k linear potentiometer'],
    ['112 x 60 x 31 mm aluminium enclosure', '1 × enclosure 112 × 60 × 31 mm'],
    ['112x60x31 enclosure', '1 × enclosure 112 × 60 × 31 mm'],
    ['5x 112x60x31 enclosure', '5 × enclosure 112 × 60 × 31 mm'],
    ['enclosure 112 x 60 x 31 x 2', '2 × enclosure 112 × 60 × 31 mm'],
    ['4k7 100', '100 × 4k7 resistor'],
    ['4k7 1% 0.25W metal film 50', '50 × 4k7 resistor, 1 %, 0.25 W, metal film'],
    ['1N4148 50', '50 × 1N4148 diode'],
    ['25 1N4148 50', '25 × 1N4148 diode'],
    ['2N3904 TO 92', '1 × 2N3904 NPN transistor'],
    ['10k 1206', '1 × 10k resistor'],
    // The number may be volts, or a size.
    ['100n film 63', '1 × 100n capacitor, film'],
    ['B100k pot 16', '1 × 100k linear potentiometer'],
    ['LED-red 5', '1 × LED-red diode'],
    ['112 x 60 x 9 mm enclosure', '1 × enclosure 112 × 60 × 9 mm'],
    ['112 x 60 x 9.5 enclosure', '1 × enclosure 112 × 60 × 9.5 mm'],
    ['112x60x9 enclosure', '1 × enclosure 112 × 60 × 9 mm'],
    ['2x 112x60x9 enclosure', '2 × enclosure 112 × 60 × 9 mm'],
    ['enclosure 112 x 60 x 31 x 1.5 mm', '1 × enclosure 112 × 60 × 31 mm'],
    ['100n film 7 x 5 x 2.5 mm', '1 × 100n capacitor, film'],
    ['9 V clip', '1 × battery clip'],
    ['Box 112 x 60 x 31', '1 × enclosure 112 × 60 × 31 mm'],
    ['8 pin DIP socket', '1 × socket DIP-8'],
    ['3 8-pin IC sockets', '3 × socket DIP-8'],
    // A foot is 0.3048 m: the international yard and pound agreement of 1959.
    ['100 ft wire', '30 × wire by the metre'],
    ['2.5 m wire', '2 × wire by the metre'],
    ['2x 2.5 m wire', '5 × wire by the metre'],
    ['5 m wire', '5 × wire by the metre'],
    ['power jack 2.1mm', '1 × DC socket'],
    ['3 power jacks', '3 × DC socket'],
    ['100k pot, knob', '1 × 100k linear potentiometer'],
    ['A500k push-pull pot DPDT', '1 × 500k audio 15 % potentiometer'],
    ['100n film boxes', '1 × 100n capacitor, film'],
    ['knob for 100k pot', '1 × knob'],
    ['red LED holder 5mm', '1 × LED holder'],
  ])('%j is %s', (line, text) => {
    expect(itemText(readBagLine(line).item)).toBe(text);
  });

  it('says which words it passed over', () => {
    expect(readBagLine('B100k pot 16mm').ignored).toEqual(['16mm']);
    expect(readBagLine('5 x 2N3904 TO-92 onsemi').ignored).toEqual(['TO-92', 'onsemi']);
    expect(readBagLine('2x stereo jack black').ignored).toEqual(['black']);
    expect(readBagLine('DPDT toggle switch on-on gold').ignored).toEqual(['gold']);
  });

  it.each([
    ['104', /^"104" is not understood: 104 alone can be a resistor or a capacitor/],
    ['', /^"" is not understood: it is empty/],
    ['0x 4k7', /a drawer takes 1 to 100000 of one part/],
    ['1,000x 10k', /"1,000x" is no number of parts/],
    ['-5x 10k', /"-5x" is no number of parts/],
    ['1.000 x 10k', /"1.000 x" is no number of parts/],
    ['0 m wire', /a drawer takes 1 to 100000 metres of wire/],
    ['0.5 m wire', /a drawer takes 1 to 100000 metres of wire/],
    ['3 wires', /no length.*"5 m wire"/],
    ['14 pin IC socket', /names no value and no type|14 alone/],
    ['RCA jack', /names no value and no type/],
    ['XLR jack', /names no value and no type/],
    ['switch', /names no value and no type/],
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
/** What builds need off the board. */
const HARDWARE = [
  ...new Set(
    ['soft-plain', 'clean-plain', 'germanium-fuzz-plain', 'three-plain']
      .flatMap((name) => hardwareOf(presetBuild(name)))
      .filter(({ need: { kind } }) => kind === 'hardware')
      .map(({ need }) => need.type!),
  ),
  'enclosure',
  'toggle switch SPDT',
  'rotary switch 2P4T',
  'footswitch SPST momentary',
  'adapter SOT-23',
];
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
  fc.record({ kind: fc.constant('hardware' as const), type: fc.constantFrom(...HARDWARE), count }),
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
    expect(read(list).filter((text) => /R5|mm/.test(text))).toEqual(['1 × enclosure 120 × 66 × 40 mm']);
    // With German numbers, quotes and semicolons, as a spreadsheet writes them.
    const quotedCells =
      '"Qty";"Value";"Tolerance";"Rating";"Material"\r\n"100";"4,7k";"1%";"0,25W";"metal film"\r\n';
    expect(read(quotedCells)).toEqual(['100 × 4k7 resistor, 1 %, 0.25 W, metal film']);
    expect(read(`\uFEFF${quotedCells}`)).toEqual(read(quotedCells));
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
    expect(stocked).toMatchObject([
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

  it('counts a potentiometer with an audio taper for whatever curve the build names, and tells the difference', () => {
    const pot = (value: number, law: PotLaw): PartNeed => ({ kind: 'pot', value, law });
    const of = (line: string, wanted: PartNeed) =>
      stockOf(bags(line), [{ need: wanted, quantity: 2 }]).stocked[0]!;
    expect(of('A100k pot x2', pot(1e5, 'audio-15'))).toMatchObject({ owned: 2, otherCurves: [] });
    expect(of('A100k pot x2', pot(1e5, 'audio-10'))).toMatchObject({
      owned: 2,
      otherCurves: [{ law: 'audio-15', count: 2 }],
    });
    expect(of('C10k pot', pot(1e4, 'reverse-audio-10'))).toMatchObject({ owned: 1 });
    expect(of('A100k pot', pot(1e5, 'reverse-audio-15'))).toMatchObject({ owned: 0 });
    expect(of('A100k pot', pot(1e5, 's-shaped'))).toMatchObject({ owned: 0 });
    // The one with the curve itself is taken first.
    const two = stockOf(bags('A100k pot', 'D100k pot'), [{ need: pot(1e5, 'audio-10'), quantity: 1 }]);
    expect(two.stocked[0]).toMatchObject({ owned: 1, otherCurves: [] });
    expect(two.left).toMatchObject([{ law: 'audio-15', count: 1 }]);
  });

  it('gives exact hardware and curves to every place first, then what also does', () => {
    const hardware = (type: string): PartNeed => ({ kind: 'hardware', type });
    const owned = (lines: readonly string[], ...needs: readonly PartNeed[]) =>
      stockOf(
        bags(...lines),
        needs.map((each) => ({ need: each, quantity: 1 })),
      ).stocked.map((each) => each.owned);
    const jacks = [hardware('jack mono'), hardware('jack stereo')] as const;
    expect(owned(['stereo jack', 'mono jack'], ...jacks)).toEqual([1, 1]);
    expect(owned(['stereo jack'], ...jacks)).toEqual([0, 1]);
    expect(owned(['2x stereo jack'], ...jacks)).toEqual([1, 1]);
    const toggles = [hardware('toggle switch SPDT, on-on'), hardware('toggle switch DPDT, on-on')] as const;
    expect(owned(['DPDT toggle on-on', 'SPDT toggle on-on'], ...toggles)).toEqual([1, 1]);
    expect(owned(['DPDT toggle on-on'], ...toggles)).toEqual([0, 1]);
    const pots = (['audio-10', 'audio-15'] as const).map(
      (law): PartNeed => ({ kind: 'pot', value: 1e5, law }),
    );
    expect(owned(['A100k pot'], ...pots)).toEqual([0, 1]);
  });

  it('owns each measured part once, over all rows and as a type too', () => {
    const of = (...wanted: readonly { readonly need: PartNeed; readonly quantity: number }[]) =>
      stockOf([], wanted).stocked.map((each) => each.owned);
    const ohms: PartNeed = { kind: 'resistor', value: 9870, piece: '10k no. 3' };
    expect(of({ need: ohms, quantity: 2 })).toEqual([1]);
    expect(of({ need: ohms, quantity: 1 }, { need: { ...ohms, ratedW: 0.5 }, quantity: 1 })).toEqual([1, 0]);
    expect(of({ need: ohms, quantity: 1 }, { need: { ...ohms, piece: '10k no. 4' }, quantity: 1 })).toEqual([
      1, 1,
    ]);
    const typed: PartNeed = { kind: 'diode', type: '{"name":"my OA91"}' };
    expect(of({ need: typed, quantity: 2 }, { need: typed, quantity: 1 })).toEqual([1, 0]);
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
  const values = [1000, 1200, 1500, 2200, 3300, 4700, 10_000];
  const ohms = (value: number): PartNeed => ({ kind: 'resistor', value });

  it.each([1, 4])('are the nearest of all pairs, by Ohm’s law, of bags of %d', (each) => {
    const items = bags(...values.map((value) => `${each}x ${value} ohm`));
    for (const wanted of [560, 640, 1300, 2000, 3700, 3900, 5100, 6800, 14_000]) {
      // Every pair, written out: series is the sum, parallel the product over the sum; one part alone makes no pair with itself.
      const all = values.flatMap((a) =>
        values.flatMap((b) => (a === b && each < 2 ? [] : [a + b, (a * b) / (a + b)])),
      );
      const best = Math.min(...all.map((value) => Math.abs(value / wanted - 1)));
      const found = nearestPair(items, ohms(wanted));
      if (best > 0.1) expect(found).toBeUndefined();
      else expect(Math.abs(found!.error)).toBeCloseTo(best, 12);
    }
    expect(nearestPair(items, ohms(3700))).toMatchObject({
      wiring: 'series',
      values: ['2k2', '1k5'],
      error: 0,
    });
  });

  it('of capacitors add in parallel', () => {
    const items = bags('2x 22n film 63V', '1x 47n film 63V', '1x 100n film 63V');
    const pair = (value: string) => nearestPair(items, need(value))!;
    expect(pairText(pair('69n'))).toBe('47n and 22n in parallel (exact)');
    expect(pairText(pair('11n'))).toBe('22n and 22n in series (exact)');
  });

  it('have the rating that is needed', () => {
    const items = bags('2x 22n film 63V', '5x 10n film 6.3V');
    expect(nearestPair(items, need('44n'))).toBeDefined();
    expect(nearestPair(items, need('20n'))).toBeUndefined();
    expect(nearestPair(items, { kind: 'diode', type: '1N4148' })).toBeUndefined();
  });

  it('are given to one place only, over the whole list', () => {
    const items = bags('1x 2k2', '1x 1k5', '2x 10k');
    const pairs = allocatedPairs(items, [
      { need: ohms(3700), quantity: 2 },
      { need: ohms(3700), quantity: 1 },
      { need: ohms(5000), quantity: 1 },
    ]);
    expect(pairs.map((row) => row.map(({ values: of, count: times }) => [...of, times]))).toEqual([
      [['2k2', '1k5', 1]],
      [],
      [['10k', '10k', 1]],
    ]);
    const given = allocatedPairs(
      bags(...values.map((value) => `3x ${value} ohm`)),
      [2000, 2400, 2700, 5900, 3900, 1100].map((value) => ({ need: ohms(value), quantity: 3 })),
    );
    const taken = new Map<string, number>();
    for (const { values: of, count: times } of given.flat())
      for (const value of of) taken.set(value, (taken.get(value) ?? 0) + times);
    expect(Math.max(...taken.values())).toBe(3);
  });
});
