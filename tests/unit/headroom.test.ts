import { describe, expect, it } from 'vitest';
import { harmonicsOf } from '../../engine/analysis/harmonics.ts';
import { swingLimits } from '../../engine/analysis/swing-limits.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';

import { findOpamp } from '../../engine/parts/catalogue.ts';
import { operatingPoint } from '../../engine/solver/operating-point.ts';
import { presetBuild } from '../preset-build.ts';
import { run, sine } from './small-networks.ts';

/** clean-blend with its later stages on one of its rails, and the treble knob up. */
const on = (rails: string) => {
  const build = presetBuild('clean-plain');
  return networkOf(
    {
      ...build,
      knobs: { ...build.knobs, treble: 1 },
      switches: { ...build.switches, rails },
    },
    NOMINAL_TEMPERATURE_K,
  );
};
const { data, output } = findOpamp('TL072');
/** Without a load. */
const headroomV = data.headroomHighV - output!.saturationOhms * output!.headroomAtA;

describe('the rails of clean-blend', () => {
  const swingV = (rails: string): number => {
    const limit = swingLimits(on(rails), 1000).find(({ ref }) => ref === 'U2A')!;
    return limit.highV - limit.lowV;
  };

  it('give the summing stage the voltage of the converter, less the headroom of its op-amp', () => {
    // 2·Vin less two diode drops (DS21465B, section 5.5): 16.8 V without load from 9 V with 0.6 V diodes. The load of
    // the stages, through 70 ohm and the supply's own resistor, takes some tenths of it. The inverter gives −9 V,
    // reduced in the same way.
    const doubledV = operatingPoint(on('doubled')).volts.get('doubled')!;
    expect(doubledV).toBeGreaterThan(15.5);
    expect(doubledV).toBeLessThan(16.8);
    // It has 323 Ω. The treble stage loads it with 10 kΩ and, through the track, with its own inverted output: 1.5 to 6 kΩ in all.
    for (const [rails, supplyV] of [
      ['doubled', doubledV],
      ['single', operatingPoint(on('single')).volts.get('supply')!],
    ] as const) {
      expect(swingV(rails)).toBeGreaterThan(0.82 * (supplyV - 2 * headroomV));
      expect(swingV(rails)).toBeLessThan(0.95 * (supplyV - 2 * headroomV));
    }
    const inverted = operatingPoint(on('doubled and negative')).volts.get('inverted')!;
    expect(inverted).toBeGreaterThan(-9);
    expect(inverted).toBeLessThan(-8);
    expect(swingV('doubled and negative') - swingV('doubled')).toBeGreaterThan(0.82 * 7.5);
  });

  /** Lowest and highest voltage of the treble stage with its knob up, on a note with strong high frequencies. */
  const reached = (rails: string) => {
    const circuit = on(rails);
    const limit = swingLimits(circuit, 1000).find(({ ref }) => ref === 'U2B')!;
    const { output } = run({ ...circuit, output: limit.net }, 384_000, sine(7680, 384_000, 3000, 1));
    return { limit, lowV: Math.min(...output), highV: Math.max(...output) };
  };

  it('limit the treble stage at both ends on 9 V, at the lower end when doubled, and at no end with a negative rail', () => {
    // The limit's knee is a tenth of a volt; the supply moves by some hundredths under load, and the decimation of the
    // stage's steps overshoots by some hundredths more.
    const [single, doubled, both] = [
      reached('single'),
      reached('doubled'),
      reached('doubled and negative'),
    ] as const;
    expect(Math.abs(single.lowV - single.limit.lowV)).toBeLessThan(0.25);
    expect(Math.abs(single.highV - single.limit.highV)).toBeLessThan(0.25);
    expect(Math.abs(doubled.lowV - doubled.limit.lowV)).toBeLessThan(0.25);
    expect(doubled.highV).toBeLessThan(doubled.limit.highV - 2);
    expect(both.lowV).toBeGreaterThan(both.limit.lowV + 2);
    expect(both.highV).toBeLessThan(both.limit.highV - 2);
    // In decibels: what 9 V allows, compared with what the signal needs.
    const wanted = both.highV - both.lowV;
    expect(20 * Math.log10(wanted / (single.highV - single.lowV))).toBeGreaterThan(6);
  });

  it('distort the same note less where no rail is reached', () => {
    const distortion = (rails: string) =>
      harmonicsOf(on(rails), { hz: 3000, peakV: 1 }).distortionOfFundamental;
    // The remaining distortion is the intended clipping of the circuit.
    expect(distortion('doubled and negative')).toBeLessThan(0.9 * distortion('single'));
  });
});
