import { describe, expect, it } from 'vitest';
import {
  DBU_REFERENCE_V,
  dbToRatio,
  dbuToVolts,
  dbvToVolts,
  ratioToDb,
  voltsToDbu,
  voltsToDbv,
} from '../../engine/units/decibels.ts';

// Figures computed from the definitions; digits as printed there.
describe('levels in decibels', () => {
  it('has 0 dBu at 1 mW into 600 Ω, 0.774597 V', () => {
    expect(DBU_REFERENCE_V ** 2 / 600).toBeCloseTo(1e-3, 15);
    expect(dbuToVolts(0)).toBeCloseTo(0.774597, 6);
  });

  it('has 0 dBu at −2.2185 dBV', () => {
    expect(voltsToDbv(dbuToVolts(0))).toBeCloseTo(-2.2185, 4);
  });

  it('has −10 dBV at 0.316228 V', () => {
    expect(dbvToVolts(-10)).toBeCloseTo(0.316228, 6);
  });

  it('has +4 dBu at 1.228 V, the line level of studios', () => {
    expect(dbuToVolts(4)).toBeCloseTo(1.2277, 4);
    expect(voltsToDbu(1.2277)).toBeCloseTo(4, 3);
  });

  it('doubles an amplitude in 6.0206 dB and silences it at −Infinity', () => {
    expect(ratioToDb(2)).toBeCloseTo(6.0206, 4);
    expect(dbToRatio(-20)).toBeCloseTo(0.1, 15);
    expect(ratioToDb(0)).toBe(Number.NEGATIVE_INFINITY);
  });
});
