import { describe, expect, it } from 'vitest';
import type { OpampNoise } from '../../engine/devices/opamp-data.ts';
import { findBjt, findOpamp, typesOf } from '../../engine/parts/catalogue.ts';
import { baseOhms, opampNoise, opampNoiseSource } from '../../engine/parts/device-noise.ts';

const noiseOfType = (type: string): OpampNoise => opampNoise(findOpamp(type))!;

/** Voltage density at a frequency, nV/√Hz. */
function nanovoltsAt(type: string, hz: number): number {
  const { voltageAt1kHzVPerRtHz, voltageCornerHz } = noiseOfType(type);
  return 1e9 * voltageAt1kHzVPerRtHz * Math.sqrt((1 + voltageCornerHz / hz) / (1 + voltageCornerHz / 1000));
}

describe('noise data', () => {
  it('exists for every op-amp with its source, and for every bipolar transistor', () => {
    for (const type of typesOf('opamp')) {
      expect(noiseOfType(type).voltageAt1kHzVPerRtHz).toBeGreaterThan(0);
      expect(noiseOfType(type).currentAt1kHzAPerRtHz).toBeGreaterThan(0);
      expect(opampNoiseSource(type)).not.toBe('');
    }
    for (const type of [...typesOf('npn'), ...typesOf('pnp')])
      expect(baseOhms(findBjt(type))).toBeGreaterThan(0);
  });

  it('meets the densities of the sheets at 1 kHz', () => {
    // ST TL072 15 nV; TI SLOS068V 40 nV; TI SLOS177D 12 nV; NE5532 5 nV and RC4558 8 nV from memory.
    expect(nanovoltsAt('TL072', 1000)).toBeCloseTo(15, 9);
    expect(nanovoltsAt('LM358', 1000)).toBeCloseTo(40, 9);
    expect(nanovoltsAt('TLC2262', 1000)).toBeCloseTo(12, 9);
    expect(nanovoltsAt('NE5532', 1000)).toBeCloseTo(5, 9);
    expect(nanovoltsAt('RC4558', 1000)).toBeCloseTo(8, 9);
  });

  it('meets the second density of a sheet through its corner', () => {
    // From memory: NE5532 8 nV at 30 Hz, OP07E 10.3 nV and TLC2262 40 nV at 10 Hz; corners have two digits.
    expect(nanovoltsAt('NE5532', 30)).toBeCloseTo(8, 1);
    expect(nanovoltsAt('OP07E', 10)).toBeCloseTo(10.3, 1);
    expect(Math.abs(nanovoltsAt('TLC2262', 10) - 40)).toBeLessThan(0.2);
  });

  it('uses the shot noise of the bias current where the sheet gives no noise current', () => {
    // √(2q·60 nA) = 0.1387 pA.
    expect(1e12 * noiseOfType('BA4558').currentAt1kHzAPerRtHz).toBeCloseTo(0.1387, 4);
  });
});
