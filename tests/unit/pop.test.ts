import { describe, expect, it } from 'vitest';
import { heardPop, type Pop, popSurroundingsText, popsOf, popText } from '../../engine/analysis/pop.ts';
import { voltageChart } from '../../engine/analysis/voltage-chart.ts';
import type { Build, PartSetting } from '../../engine/builds/build.ts';
import { networkWithContacts } from '../../engine/builds/footswitch-contacts.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import { bypassBuild } from '../bypass-parts.ts';
import { presetBuild } from '../preset-build.ts';

const SAMPLE_RATE_HZ = 48_000;
const pops = (build: Build) =>
  popsOf(build, { temperatureK: NOMINAL_TEMPERATURE_K, sampleRateHz: SAMPLE_RATE_HZ })!;
const open = (value: string): PartSetting => ({ value, fit: 'open' });
const volts = (build: Build, net: string) =>
  voltageChart(networkOf(build, NOMINAL_TEMPERATURE_K)).nets.find((each) => each.net === net)!.volts;

// Of the data sheets: 10 µF electrolytic at 0.01·C·V is 10 MΩ, 1 µF film of 1250 Ω·F is 1.25 GΩ. A lug: 100 MΩ, estimate.
const C9_OHMS = 10e6;
const C101_OHMS = 1.25e9;
const LUG_OHMS = 100e6;
const AMPLIFIER_OHMS = 1e6;
const parallel = (...ohms: readonly number[]) => 1 / ohms.reduce((sum, each) => sum + 1 / each, 0);

describe('the pop of a footswitch', () => {
  it('without the pull-down of the output is what leakage has charged it to, and decays with the amplifier', () => {
    const build = bypassBuild('true', { R14: open('100k') });
    const emitterV = volts(build, 'output emitter');
    const chargedV = (emitterV * LUG_OHMS) / (LUG_OHMS + C9_OHMS);
    const loadOhms = parallel(AMPLIFIER_OHMS, LUG_OHMS, LUG_OHMS);
    const restV = (emitterV * loadOhms) / (loadOhms + C9_OHMS);
    const decayS = 10e-6 * parallel(loadOhms, C9_OHMS);
    const { on, bypassed } = pops(build);
    expect(chargedV).toBeGreaterThan(3);
    expect(on.peakV / chargedV).toBeCloseTo(1, 2);
    expect(on.seconds / (decayS * Math.log((chargedV - restV) / 1e-3))).toBeCloseTo(1, 1);
    // Onto the pickup: its coil and both cables ring, so the step overshoots by less than its own height.
    expect(bypassed.peakV).toBeGreaterThan(restV * 0.99);
    expect(bypassed.peakV).toBeLessThan(2 * restV);
    expect(bypassed.seconds).toBeLessThan(0.01);
  });

  it('with the pull-down is a hundredth of that', () => {
    const build = bypassBuild('true');
    const chargedV = (volts(build, 'output emitter') * 100e3) / (100e3 + C9_OHMS);
    const { on, bypassed } = pops(build);
    expect(on.peakV / chargedV).toBeCloseTo(1, 1);
    expect(bypassed.peakV).toBeLessThan(2 * chargedV);
  });

  it('of a buffered bypass without its own pull-down is that of its coupling capacitor', () => {
    const build = bypassBuild('buffered', { R101: open('100k') });
    const chargedV = (volts(build, 'buffered') * LUG_OHMS) / (LUG_OHMS + C101_OHMS);
    const beforeV =
      (volts(build, 'output emitter') * parallel(100e3, AMPLIFIER_OHMS)) /
      (parallel(100e3, AMPLIFIER_OHMS) + C9_OHMS);
    expect(chargedV).toBeGreaterThan(0.2);
    expect(pops(build).bypassed.peakV / (chargedV - beforeV)).toBeCloseTo(1, 1);
  });

  it('of a transistor-switched bypass is small, and larger without the capacitors that slow the gates', () => {
    const slow = pops(bypassBuild('transistor-switched'));
    const fast = pops(bypassBuild('transistor-switched', { C104: open('22n'), C105: open('22n') }));
    expect(slow.on.peakV).toBeLessThan(5e-3);
    expect(fast.on.peakV).toBeGreaterThan(2 * slow.on.peakV);
  });

  it('of ceramic capacitors is that of what their DC voltage leaves of them, the same in both positions', () => {
    const C8 = { value: '100n', dielectric: 'X7R-small' } as const;
    const farads = (position: 'on' | 'bypassed', setting: PartSetting) =>
      networkWithContacts(
        bypassBuild('true', { C8: setting }),
        position,
        NOMINAL_TEMPERATURE_K,
      )!.primitives.flatMap((part) => (part.kind === 'capacitor' && part.ref === 'C8' ? [part.farads] : []));
    const baseV = volts(bypassBuild('true'), 'output base');
    // On a line from 1 at 0 V to 0.8 at 5 V, as in the list of kinds.
    const [left] = farads('on', C8);
    expect(left! / (100e-9 * (1 - (0.2 * baseV) / 5))).toBeCloseTo(1, 2);
    expect(farads('bypassed', C8)).toEqual([left]);
  });

  it('says what is assumed before and after the pedal where nothing is stated', () => {
    expect(popSurroundingsText({ load: { input: 'line', cableMetres: 3 } }).replaceAll('\u00a0', ' ')).toBe(
      'Before the pedal a single-coil pickup and 6 m of cable, after it 3 m of cable into a line input.',
    );
  });

  it('is not known of a circuit that does not have its footswitch as parts', () => {
    const build = presetBuild('soft-plain');
    const older = { ...build, circuit: { ...build.circuit, bypass: OLDER_BYPASS } };
    expect(
      popsOf(older, { temperatureK: NOMINAL_TEMPERATURE_K, sampleRateHz: SAMPLE_RATE_HZ }),
    ).toBeUndefined();
  });
});

const OLDER_BYPASS = { kinds: ['true' as const], bufferedNet: 'buffered', inputStages: ['input', 'supply'] };

describe('a pop as it is heard', () => {
  const step = (height: number): Pop => ({
    peakV: height,
    seconds: 9,
    outputV: Float64Array.from({ length: 12_000 }, (_, n) => (n === 0 ? 0 : height)),
  });

  it('is without DC: a step decays as behind a first-order high-pass of 10 Hz', () => {
    const heard = heardPop(step(0.5), SAMPLE_RATE_HZ);
    for (const n of [1, 200, 1000]) {
      // The end is faded out over the whole length.
      const wanted = 0.5 * Math.exp((-2 * Math.PI * 10 * n) / SAMPLE_RATE_HZ) * (1 - n / 12_000);
      expect(heard[n]! / wanted).toBeCloseTo(1, 3);
    }
    expect(Math.abs(heard.at(-1)!)).toBeLessThan(1e-6);
  });

  it('is no louder than 1 V', () => {
    expect(Math.max(...heardPop(step(3), SAMPLE_RATE_HZ))).toBeLessThanOrEqual(1);
  });

  it('is read in millivolts, with its end', () => {
    expect(popText({ ...step(0.0349), seconds: 1.04 })).toBe('34.9 mV, over after 1.04 s');
    expect(popText(step(0.0009))).toBe('under 1 mV');
  });
});
