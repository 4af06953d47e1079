import { describe, expect, it } from 'vitest';
import type { Build } from '../../engine/builds/build.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { withPart } from '../../engine/builds/part-figures.ts';
import { networkAtSpread, partSpread } from '../../engine/builds/part-spread.ts';
import type { Converter } from '../../engine/devices/converter.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import { pruneNetwork } from '../../engine/network/prune.ts';
import { findConverter } from '../../engine/parts/catalogue.ts';
import { pumpedOutputOhms } from '../../engine/parts/pump-resistance.ts';
import { operatingPoint } from '../../engine/solver/operating-point.ts';
import { presetBuild } from '../preset-build.ts';

const plain = presetBuild('clean-plain');
const withoutBoost: Build = { ...plain, switches: { ...plain.switches, 'boost link': 'not fitted' } };

function output(build: Build, piece: 'doubler' | 'inverter'): Converter | undefined {
  const { primitives } = networkOf(build, NOMINAL_TEMPERATURE_K);
  return primitives.find(({ ref }) => ref === `U3 ${piece}`) as Converter | undefined;
}

function volts(build: Build, net: string): number {
  return operatingPoint(pruneNetwork(networkOf(build, NOMINAL_TEMPERATURE_K))).volts.get(net)!;
}

describe('the output resistance of a charge pump', () => {
  const entry = findConverter('TC1044S');

  it('is that of its sheet with the sheet’s capacitor and without boost', () => {
    expect(pumpedOutputOhms(entry, 10e-6, false)).toBeCloseTo(70, 9);
  });

  it('has 1/(f·C) in it, f half of the oscillator’s frequency (data sheets of the 7660, from memory)', () => {
    // 10 kHz: 20 ohms with 10 µF at 5 kHz, 200 with 1 µF. 45 kHz with boost: 4.4 and 44 ohms.
    expect(pumpedOutputOhms(entry, 1e-6, false) - pumpedOutputOhms(entry, 10e-6, false)).toBeCloseTo(180, 9);
    expect(pumpedOutputOhms(entry, 10e-6, true)).toBeCloseTo(50 + 1 / (22.5e3 * 10e-6), 9);
  });

  it('is lower with the boost link only for a type that has a boost pin', () => {
    const ofType = (type: string, build: Build) =>
      output(withPart(build, 'U3', { type }), 'doubler')!.outputOhms;
    expect(ofType('TC1044S', plain)).toBeLessThan(ofType('TC1044S', withoutBoost));
    expect(ofType('ICL7660', plain)).toBe(ofType('ICL7660', withoutBoost));
  });
});

describe('the pump capacitors of clean-blend', () => {
  it('set the output resistance of one rail each, and are not otherwise in the network', () => {
    const small = withPart(plain, 'C17', { value: '1u' });
    expect(output(small, 'doubler')!.outputOhms).toBeCloseTo(50 + 1 / (22.5e3 * 1e-6), 9);
    expect(output(small, 'inverter')!.outputOhms).toBe(output(plain, 'inverter')!.outputOhms);
    const refs = networkOf(plain, NOMINAL_TEMPERATURE_K).primitives.map(({ ref }) => ref);
    expect(refs.filter((ref) => ref === 'C17' || ref === 'C18')).toEqual([]);
  });

  it('differ from piece to piece: the resistance of the charge falls as they grow', () => {
    const { low, high } = partSpread(plain, 'C17');
    expect(low).toBeLessThan(high);
    const ohms = (end: 'low' | 'high', piece: string) => {
      const network = networkAtSpread(plain, networkOf(plain, NOMINAL_TEMPERATURE_K), ['C17'], end);
      return (network.primitives.find(({ ref }) => ref === `U3 ${piece}`) as Converter).outputOhms;
    };
    expect(ohms('low', 'doubler')).toBeCloseTo(50 + 1 / (22.5e3 * 10e-6 * low), 9);
    expect(ohms('high', 'doubler')).toBeCloseTo(50 + 1 / (22.5e3 * 10e-6 * high), 9);
    expect(ohms('low', 'inverter')).toBe(output(plain, 'inverter')!.outputOhms);
  });

  it('let their rail sag more where they are smaller', () => {
    const small = withPart(withPart(plain, 'C17', { value: '220n' }), 'C18', { value: '220n' });
    expect(volts(small, 'doubled')).toBeLessThan(volts(plain, 'doubled') - 0.3);
    expect(volts(small, 'inverted')).toBeGreaterThan(volts(plain, 'inverted') + 0.3);
  });

  it('leave a rail unpumped where they are not fitted: the supply less two diodes, or ground', () => {
    const unpumped = withPart(withPart(plain, 'C17', { value: '10u', fit: 'open' }), 'C18', {
      value: '10u',
      fit: 'open',
    });
    const below = volts(unpumped, 'supply') - volts(unpumped, 'doubled');
    // Two silicon diodes at a few milliamperes.
    expect(below).toBeGreaterThan(1);
    expect(below).toBeLessThan(1.6);
    expect(volts(unpumped, 'inverted')).toBeGreaterThan(-0.01);
    expect(volts(unpumped, 'inverted')).toBeLessThan(0.5);
  });
});
