import { describe, expect, it } from 'vitest';
import { findOpamp, typesOf } from '../../engine/parts/catalogue.ts';
import type { DatasheetPoint, OpampEntry } from '../../engine/parts/catalogue-entry.ts';
import { OPAMPS } from '../../engine/parts/opamps.ts';
import { modelFigure } from '../../engine/parts/type-figure.ts';

const data = (type: string) => findOpamp(type).data;

describe('op-amp data', () => {
  it('of BA4558 is that of ROHM BA4558', () => {
    expect(20 * Math.log10(data('BA4558').openLoopGain)).toBeCloseTo(100, 9);
    expect(data('BA4558').slewVPerS).toBe(1e6);
    expect(Math.abs(data('BA4558').inputBiasA)).toBe(60e-9);
    expect(15 - data('BA4558').headroomHighV).toBe(14);
    expect(findOpamp('BA4558').maxSupplyV).toBe(2 * 18);
  });

  it('of RC4558 has the gain-bandwidth of TI SLOS073H (2024), not the 3 MHz of older sheets', () => {
    expect(data('RC4558').gainBandwidthHz).toBe(4e6);
  });

  it('of TL072 is that of ST TL072', () => {
    expect(data('TL072')).toMatchObject({
      gainBandwidthHz: 4e6,
      slewVPerS: 16e6,
      openLoopGain: 200e3,
      inputBiasA: 20e-12,
      quiescentA: 1.4e-3,
    });
    expect(15 - data('TL072').headroomHighV).toBe(13.5);
  });

  it('of LM358 is that of TI SLOS068V', () => {
    expect(data('LM358')).toMatchObject({
      gainBandwidthHz: 0.7e6,
      slewVPerS: 0.3e6,
      openLoopGain: 100e3,
      headroomHighV: 1.5,
      headroomLowV: 5e-3,
    });
  });

  it('of NE5532 is that of TI SLOS075 from memory', () => {
    expect(data('NE5532')).toMatchObject({ gainBandwidthHz: 10e6, slewVPerS: 9e6, inputBiasA: 200e-9 });
    // 8 mA for both.
    expect(2 * data('NE5532').quiescentA).toBe(8e-3);
  });

  it('of TLC2262 draws 200 µA an amplifier (SLOS177D)', () => {
    expect(data('TLC2262').quiescentA).toBe(200e-6);
    expect(findOpamp('TLC2262').maxSupplyV).toBe(16); // from memory
  });

  it('has bias currents that flow out of PNP inputs and into NPN and P-JFET inputs', () => {
    expect(OPAMPS.filter((entry) => entry.data.inputBiasA < 0).map((entry) => entry.type)).toEqual([
      'RC4558',
      'BA4558',
      'NJM4558',
      'LM358',
      'NJM4559',
      'NJM4560',
      'TA75558',
      'NJM4580',
      'LM833',
      'NJM2068',
    ]);
  });

  it('gives the full-power bandwidths of its slew rates', () => {
    // f = SR/(2π·Vp): 0.3 V/µs and 4 V peak 11.94 kHz; 1 V/µs and 3.5 V 45.47 kHz.
    expect(data('LM358').slewVPerS / (2 * Math.PI * 4)).toBeCloseTo(11.94e3, -1);
    expect(data('BA4558').slewVPerS / (2 * Math.PI * 3.5)).toBeCloseTo(45.47e3, -1);
  });

  it('lists the supply limit of every type with its source', () => {
    for (const entry of OPAMPS) {
      const supply = entry.limits.filter((point) => point.quantity === 'supplyV');
      expect(supply.map((point) => point.maximum)).toEqual([entry.maxSupplyV]);
      expect(supply[0]!.source).not.toBe('');
    }
  });

  it('lists the slew rate on which makers of TL072 differ', () => {
    // ST 16 V/µs; TI SLOS080D, 1996, 13 V/µs.
    expect(findOpamp('TL072').knownMisses).toMatchObject([
      { quantity: 'slewVPerS', sheetSays: 13e6, dataGives: 16e6 },
    ]);
  });

  it('of LM741 is that of TI SNOSC25', () => {
    expect(data('LM741')).toMatchObject({
      slewVPerS: 0.5e6,
      openLoopGain: 200e3,
      inputBiasA: 80e-9,
      quiescentA: 1.7e-3,
    });
    expect(15 - data('LM741').headroomHighV).toBe(14);
  });

  it('of LM308A is that of National LM108/LM308, with 30 pF for its compensation', () => {
    expect(data('LM308A')).toMatchObject({ inputBiasA: 1.5e-9, openLoopGain: 300e3, quiescentA: 0.3e-3 });
    expect(15 - data('LM308A').headroomHighV).toBe(14);
    // At 30 pF about 0.3 V/µs and 1 MHz, from memory; full power at 4 V peak up to 11.94 kHz.
    expect(data('LM308A')).toMatchObject({ slewVPerS: 0.3e6, gainBandwidthHz: 1e6 });
    expect(data('LM308A').slewVPerS / (2 * Math.PI * 4)).toBeCloseTo(11.94e3, -1);
  });

  it('of OP07E has the gain of ADI OP07 and stays within its bias current', () => {
    expect(data('OP07E').openLoopGain).toBe(200e3);
    expect(Math.abs(data('OP07E').inputBiasA)).toBeLessThanOrEqual(4e-9);
  });

  it('knows which types have one amplifier to a package', () => {
    const singles = OPAMPS.filter(({ amplifiersPerPackage }) => amplifiersPerPackage === 1);
    expect(singles.map(({ type }) => type)).toEqual(['LM741', 'LM308A', 'OP07E', 'NE5534', 'TL071']);
  });

  it('marks the types that cannot work on 9 V, and only those', () => {
    // MCP6002: 7 V absolute maximum, from memory. A fresh 9 V battery has about 9.6 V, from memory.
    const low = OPAMPS.filter(({ maxSupplyV }) => maxSupplyV < 9.6);
    expect(low.map(({ type }) => type)).toEqual(['MCP6002']);
    expect(low[0]!.title).toMatch(/not for 9 V/);
  });

  it('meets every limit of its datasheets except the listed misses', () => {
    for (const entry of OPAMPS) {
      const missed = entry.limits.filter((point) => !meets(entry, point));
      expect(
        missed.map(({ quantity }) => quantity),
        entry.type,
      ).toEqual(entry.knownMisses.map(({ quantity }) => quantity));
    }
  });

  it('names a source for itself and for every limit', () => {
    expect(typesOf('opamp')).toHaveLength(32);
    for (const { dataSource, limits } of OPAMPS) {
      for (const source of [dataSource, ...limits.map((point) => point.source)]) expect(source).not.toBe('');
    }
  });
});

/** Whether the data meets a limit; a typical figure must be the value of the data. */
function meets(entry: OpampEntry, point: DatasheetPoint): boolean {
  const { minimum, typical, maximum } = point;
  const value = modelFigure(entry, point);
  if (value === undefined) return true;
  if (minimum !== undefined && value < minimum) return false;
  if (maximum !== undefined && value > maximum) return false;
  // Both are decimal literals, or one difference of such literals: they differ only by rounding.
  return typical === undefined || Math.abs(value / typical - 1) < 1e-9;
}
