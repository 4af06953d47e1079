import { describe, expect, it } from 'vitest';
import { findDiode } from '../../engine/parts/catalogue.ts';
import { CURVE_CURRENTS_A, isSourced, LEAK_TEST_V } from '../../engine/parts/curve-points.ts';
import { missingData } from '../../engine/parts/data-gaps.ts';
import { DIODES } from '../../engine/parts/diodes.ts';
import { typeSpread } from '../../engine/parts/type-spread.ts';
import { typeTable, worstByFamily } from '../../engine/parts/type-table.ts';

const ROWS = typeTable();

describe('the table of types', () => {
  it('has at least 140 types, each with a source', () => {
    expect(ROWS.length).toBeGreaterThanOrEqual(140);
    for (const { type, dataSource } of ROWS) expect(dataSource, type).not.toBe('');
  });

  it('meets every limit but those that the catalogue lists as known misses', () => {
    const missed = ROWS.flatMap(({ type, points }) =>
      points.filter(({ isMet }) => !isMet).map(({ quantity }) => `${type} ${quantity}`),
    );
    // BF245B: its card has no source resistance; TL072: makers differ.
    expect(missed).toEqual(['BF245B transconductanceS', 'TL072 slewVPerS']);
  });

  it.each(DIODES.map(({ type }) => type))(
    'has of diode %s four currents and the leak, with a limit or estimate each',
    (type) => {
      const { points } = ROWS.find((row) => row.type === type)!;
      const isChain = findDiode(type).chain !== undefined;
      for (const amps of CURVE_CURRENTS_A) {
        const own = points.filter(
          (point) => point.quantity === 'forwardVoltageV' && point.at.forwardA === amps,
        );
        expect(own.length, `${amps} A`).toBeGreaterThan(0);
        if (!isChain) expect(own.some(({ typical, maximum }) => typical ?? maximum)).toBe(true);
        for (const { model } of own) expect(model).toBeGreaterThan(0);
      }
      const leaks = points.filter(
        (point) => point.quantity === 'reverseCurrentA' && point.at.reverseV === LEAK_TEST_V,
      );
      expect(leaks.length).toBeGreaterThan(0);
    },
  );

  it('is nowhere more than 15 % off a typical forward voltage that has a source', () => {
    const off = DIODES.flatMap(({ type }) =>
      ROWS.find((row) => row.type === type)!.points.filter(
        (point) => point.quantity === 'forwardVoltageV' && point.isSourced && point.typical !== undefined,
      ),
    ).map((point) => Math.abs(point.off!));
    expect(off.length).toBeGreaterThan(50);
    expect(Math.max(...off)).toBeLessThan(0.15);
  });

  it('names the worst disagreement of each family', () => {
    const worst = worstByFamily(ROWS);
    expect(worst.get('germanium')).toMatchObject({ type: 'OA95', point: { at: { forwardA: 50e-6 } } });
    expect(worst.get('LED')).toMatchObject({ type: 'LED-yellow', point: { at: { forwardA: 20e-3 } } });
    expect(worst.get('silicon')).toMatchObject({ type: '1N4148', point: { at: { forwardA: 10e-3 } } });
  });
});

describe('what is needed for a verdict', () => {
  it('is two points of the curve and a reverse current, each from a document or a measured piece', () => {
    expect(missingData(findDiode('1N4148'))).toBeUndefined();
    expect(missingData(findDiode('OA81'))).toBeUndefined();
    expect(missingData(findDiode('AC128 base-emitter'))).toBeUndefined();
    expect(missingData(findDiode('1N34A'))).toBe('no source for its reverse current');
    expect(missingData(findDiode('D20'))).toBe('no source for 2 points of its curve');
    expect(missingData(findDiode('OA47'))).toBe(
      'no source for 2 points of its curve and its reverse current',
    );
  });

  it('does not count what is remembered or estimated', () => {
    for (const source of ['estimate', 'OA91 sheet, from memory', 'our estimate'])
      expect(isSourced(source)).toBe(false);
    for (const source of ['NTE109 sheet', 'one measured piece (dvhx)']) expect(isSourced(source)).toBe(true);
  });
});

describe('the spread of a diode', () => {
  it('is the estimated range at the current of use where no sheet bounds the voltage', () => {
    // ±40 mV: two published 1N34A cards differ by 40.5 mV at 1 mA.
    expect(typeSpread('diode', 'OA47')).toMatchObject({
      low: expect.closeTo(-0.04, 9),
      high: expect.closeTo(0.04, 9),
      source: expect.stringContaining('estimate'),
    });
  });

  it('is that of the sheet where one bounds it: 0.26 to 0.33 V of the BAT43 at 2 mA', () => {
    const { low, high, source } = typeSpread('diode', 'BAT43');
    expect([low, high]).toEqual([expect.closeTo(-0.035, 9), expect.closeTo(0.035, 9)]);
    expect(source).toContain('ST BAT42/BAT43');
  });

  it('has more leak at the lower voltage, in types that leak', () => {
    expect(typeSpread('diode', '1N34A').leakFactor).toBe(3);
    expect(typeSpread('diode', '1N4148').leakFactor).toBeUndefined();
  });
});
