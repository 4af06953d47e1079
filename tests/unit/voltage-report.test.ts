import { describe, expect, it } from 'vitest';
import { lifeText } from '../../engine/analysis/battery-life.ts';
import { faultTable, suspectsAt, suspectsOf } from '../../engine/analysis/build-faults.ts';
import { meterReadings, unloadedReadings } from '../../engine/analysis/meter-readings.ts';
import { compareSupplies } from '../../engine/analysis/supply-comparison.ts';
import { voltageBands } from '../../engine/analysis/voltage-bands.ts';
import { bandRead, voltageReport } from '../../engine/analysis/voltage-report.ts';
import type { Build, PartSetting } from '../../engine/builds/build.ts';
import { LONE } from '../../engine/builds/chain.ts';
import { hardwareOf } from '../../engine/builds/hardware.ts';
import { legsOfBuild } from '../../engine/builds/leg-nets.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { fedNetwork, isBatteryVoltage } from '../../engine/builds/supply-conditions.ts';
import { GROUND } from '../../engine/devices/node.ts';
import { ofPart } from '../../engine/devices/origin.ts';
import { NOMINAL_TEMPERATURE_K as T } from '../../engine/devices/physics.ts';
import type { Network } from '../../engine/network/network.ts';
import { wiringOf } from '../../engine/wiring/wiring-of-build.ts';
import { presetBuild } from '../preset-build.ts';

/** 9 V over two resistors. */
function divider(volts: number, upper: number, lower: number): Network {
  return {
    input: 'in',
    output: 'middle',
    rails: [],
    temperatureK: T,
    primitives: [
      { kind: 'voltageSource', ...ofPart('V1'), nodes: ['top', GROUND], volts },
      { kind: 'resistor', ...ofPart('R1'), nodes: ['top', 'middle'], ohms: upper },
      { kind: 'resistor', ...ofPart('R2'), nodes: ['middle', GROUND], ohms: lower },
      { kind: 'resistor', ...ofPart('R3'), nodes: ['in', GROUND], ohms: 1e6 },
    ],
  };
}

const lone = (build: Build) => ({ pedals: [{ build, isOn: LONE.isOn, cableMetres: 0 }] });
const withPart = (build: Build, ref: string, setting: Partial<PartSetting>): Build => ({
  ...build,
  parts: { ...build.parts, [ref]: { ...build.parts[ref]!, ...setting } },
});

describe('a multimeter', () => {
  it('pulls a divider down as its own resistance does: 9·(1M∥10M)/(1M + 1M∥10M)', () => {
    const { volts, readsV } = meterReadings(divider(9, 1e6, 1e6), 10e6).find(({ net }) => net === 'middle')!;
    const parallel = 1 / (1 / 1e6 + 1 / 10e6);
    expect(volts).toBeCloseTo(4.5, 6);
    expect(readsV).toBeCloseTo((9 * parallel) / (1e6 + parallel), 6);
  });

  it('of 200 kΩ reads a sixth there: 9·(1M∥200k)/(1M + 1M∥200k)', () => {
    const { readsV } = meterReadings(divider(9, 1e6, 1e6), 200e3).find(({ net }) => net === 'middle')!;
    const parallel = 1 / (1 / 1e6 + 1 / 200e3);
    expect(readsV).toBeCloseTo((9 * parallel) / (1e6 + parallel), 6);
  });

  it('that loads nothing reads what is there', () => {
    for (const { volts, readsV } of meterReadings(networkOf(presetBuild('soft-plain'), T), Infinity))
      expect(readsV).toBe(volts);
  });

  it('is corrected for', () => {
    const network = divider(9, 1e6, 1e6);
    const read = meterReadings(network, 1e6).find(({ net }) => net === 'middle')!.readsV;
    expect(read).toBeCloseTo(3, 6);
    expect(unloadedReadings(network, new Map([['middle', read]]), 1e6).get('middle')).toBeCloseTo(4.5, 6);
  });
});

describe('supplies', () => {
  it('have a 9 V battery at about 9 V, the same in the voltages, the parts list and the wiring', () => {
    const volts = [9, -9, 9.6, 8, 18, 19, 12, 15, 24, 3.3];
    expect(volts.filter(isBatteryVoltage)).toEqual([9, -9, 9.6, 8]);
    for (const value of ['9V', '18V']) {
      const build = withPart(presetBuild('soft-plain'), 'V1', { value });
      const isBattery = value.startsWith('9');
      const { fed, adapterOnly } = voltageReport(lone(build), T, 10e6);
      expect(fed.length > 1).toBe(isBattery);
      expect(adapterOnly).toEqual(
        isBattery ? [] : [`V1: ${value.replace('V', ' V')} needs an adapter, no 9 V battery gives it.`],
      );
      expect(hardwareOf(build).some(({ kind }) => kind === 'battery clip')).toBe(isBattery);
      expect(wiringOf(build).items.some(({ kind }) => kind === 'battery')).toBe(isBattery);
    }
  });

  it('have the volts and the inner resistance of a battery: 9.5 V behind 2 Ω into 1 kΩ', () => {
    const volts = (of: Network) => meterReadings(of, Infinity).find(({ net }) => net === 'top')!.volts;
    expect(volts(fedNetwork(divider(9, 500, 500), 'fresh battery'))).toBeCloseTo((9.5 * 1000) / 1002, 6);
    expect(volts(fedNetwork(divider(-9, 500, 500), 'flat battery'))).toBeCloseTo((-7 * 1000) / 1035, 6);
    expect(volts(fedNetwork(divider(18, 500, 500), 'fresh battery'))).toBe(18);
    expect(volts(fedNetwork(divider(12, 500, 500), 'fresh battery'))).toBe(12);
  });

  it('give the life of a battery from what the pedal draws: 400 mAh by the mean of both ends', () => {
    const { fed, lives } = voltageReport(lone(presetBuild('soft-plain')), T, 10e6);
    const amps = (index: number) => fed[index]!.supplyA.get('V1')!;
    expect(fed.map(({ condition }) => condition)).toEqual(['adapter', 'fresh battery', 'flat battery']);
    expect(lives).toEqual([{ ref: 'V1', hours: 0.4 / ((amps(1) + amps(2)) / 2) }]);
    // A pedal of two op-amps and two followers draws a few milliamperes: common practice, no source.
    expect(lives[0]!.hours).toBeGreaterThan(60);
    expect(lives[0]!.hours).toBeLessThan(200);
  });

  it('give no life where nothing is drawn, and none that nobody has measured', () => {
    const idle = withPart(presetBuild('jfet-plain'), 'R17', { fit: 'open' });
    expect(voltageReport(lone(idle), T, 10e6).lives).toEqual([]);
    expect(lifeText(1e6)).toBe('An alkaline 9 V battery lasts more than 2000 h, until it has 7 V.');
    expect(lifeText(85.4)).toBe('An alkaline 9 V battery lasts about 85 h, until it has 7 V.');
  });

  it('are the same in both tables, whatever inner resistance the builder has fitted', () => {
    const build = withPart(presetBuild('jfet-plain'), 'R22', { value: '47R', fit: undefined } as never);
    const { fed } = voltageReport(lone(build), T, 10e6);
    const [nine] = compareSupplies(build, T, 10e6, [9]);
    expect([...nine!.readsV]).toEqual([...fed[0]!.readsV]);
  });

  it('leave out the builder’s own inner resistance, which stands for a battery', () => {
    const plain = voltageReport(lone(presetBuild('soft-plain')), T, 10e6);
    const old = withPart(presetBuild('soft-plain'), 'R18', { value: '47R' });
    expect(old.parts['R18']!.fit).not.toBe('bridged');
    const { fed } = voltageReport(lone(old), T, 10e6);
    expect(fed[0]!.readsV.get('dc')).toBe(plain.fed[0]!.readsV.get('dc'));
  });

  it('at 9, 12 and 18 V side by side say which part is over its limit', () => {
    const builds = compareSupplies(presetBuild('germanium-fuzz-plain'), T, 10e6);
    expect(builds.map(({ supplyV, warnings }) => [supplyV, warnings.length > 0])).toEqual([
      [9, false],
      [12, false],
      [18, true],
    ]);
    expect(builds[2]!.warnings[0]!.message).toMatch(
      /^Q\d \(\w+\) sees 1[78]\.\d V, .* over its limit of 12 V/,
    );
    expect(builds[2]!.readsV.get('dc')).toBeCloseTo(-18, 6);
  });
});

/** Pins of a dual op-amp after the data sheet ST TL072, of the 2N5088 after onsemi 2N5088/D; nets read off the schematic. */
describe('legs', () => {
  const legs = (build: Build, ref: string) =>
    legsOfBuild(build)
      .find((part) => part.ref === ref)!
      .legs.map(({ number, net }) => [number, net]);

  it('of a dual op-amp are those of its data sheet', () => {
    expect(legs(presetBuild('soft-plain'), 'U1')).toEqual([
      [1, 'clipped'],
      [2, 'gain feedback'],
      [3, 'gain input'],
      [4, GROUND],
      [5, 'tone input'],
      [6, 'tone feedback'],
      [7, 'toned'],
      [8, 'supply'],
    ]);
  });

  it('of single op-amps are those of two chips', () => {
    const build = withPart(presetBuild('soft-plain'), 'U1', { type: 'TL071' });
    expect(legs(build, 'U1A').filter(([, net]) => net !== undefined)).toEqual([
      [2, 'gain feedback'],
      [3, 'gain input'],
      [4, GROUND],
      [6, 'clipped'],
      [7, 'supply'],
    ]);
    expect(legs(build, 'U1B')[5]).toEqual([6, 'toned']);
  });

  it('of transistors follow the type: E B C, and C B E', () => {
    expect(legs(withPart(presetBuild('soft-plain'), 'Q1', { type: '2N5088' }), 'Q1')).toEqual([
      [1, 'buffered'],
      [2, 'base'],
      [3, 'supply'],
    ]);
    expect(legs(withPart(presetBuild('soft-plain'), 'Q1', { type: 'BC549C' }), 'Q1')[0]).toEqual([
      1,
      'supply',
    ]);
  });

  it('of diodes are anode and cathode, also of a transistor wired as one', () => {
    const build = presetBuild('soft-plain');
    const [anode, cathode] = legs(build, 'D1');
    expect(anode![1]).not.toBe(cathode![1]);
    const wired = withPart(build, 'D1', { type: '2N7000 body' });
    const known = legsOfBuild(wired).find(({ ref }) => ref === 'D1');
    expect(
      known === undefined ||
        known.legs.every(({ net }) => net === undefined || [anode![1], cathode![1]].includes(net)),
    ).toBe(true);
  });

  it('of a part that is not fitted are none', () => {
    const build = withPart(presetBuild('soft-plain'), 'D1', { fit: 'open' });
    expect(legsOfBuild(build).some(({ ref }) => ref === 'D1')).toBe(false);
  });
});

describe('the band of a net', () => {
  it('is that of a divider of two 1 % parts: dV/V = (dR16 − dR15)/2, and half of it is common to a batch', () => {
    // With limits of 1 % at two or three deviations, half of the band is between 0.2 and 1 % of the volts.
    const { low, high } = voltageBands(lone(presetBuild('soft-plain')), T).get('bias')!;
    expect((high - low) / 2 / 4.469).toBeGreaterThan(0.002);
    expect((high - low) / 2 / 4.469).toBeLessThan(0.01);
  });

  it('is wide where a transistor sets the volts, and is read as the meter reads', () => {
    const report = voltageReport(lone(presetBuild('germanium-fuzz-plain')), T, 10e6);
    const { low, high } = bandRead(report, 'collector')!;
    expect(high - low).toBeGreaterThan(1);
    expect(report.fed[0]!.readsV.get('collector')).toBeGreaterThan(low);
    expect(report.fed[0]!.readsV.get('collector')).toBeLessThan(high);
  });
});

describe('mistakes of soldering', () => {
  const table = faultTable(divider(9, 10e3, 10e3), new Map());

  it('have the volts of the divider without, with a shorted, and with a wrong resistor', () => {
    const middle = Object.fromEntries(
      table.faults.filter(({ part }) => part === 'R1').map(({ kind, volts }) => [kind, volts.get('middle')!]),
    );
    expect(middle['open']).toBeCloseTo(0, 3);
    // The supply has 2 Ω and the bridge 0.1 Ω.
    expect(middle['shorted']).toBeCloseTo(9, 1);
    expect(middle['ten times too high']).toBeCloseTo(9 / 11, 2);
    expect(middle['ten times too low']).toBeCloseTo(90 / 11, 2);
  });

  it('are found from what is read: the mistake was made in the build, not in the table', () => {
    const sound = presetBuild('soft-plain');
    const faulty: readonly (readonly [string, Partial<PartSetting>, RegExp])[] = [
      ['R15', { fit: 'open' }, /^R15 is not soldered/],
      ['R3', { value: '100k' }, /^R3 has ten times/],
      ['R10', { fit: 'open' }, /^R10 is not soldered/],
      ['C2', { fit: 'bridged' }, /^C2 is shorted/],
    ];
    const network = networkOf(sound, T);
    const known = faultTable(network, voltageBands(lone(sound), T));
    for (const [ref, setting, expected] of faulty) {
      const read = new Map(
        meterReadings(networkOf(withPart(sound, ref, setting), T), 10e6)
          .filter(({ net }) => known.sound.has(net))
          // As a meter of two decimals shows it.
          .map(({ net, readsV }) => [net, Number(readsV.toFixed(2))]),
      );
      const { soundLargestMiss, suspects } = suspectsOf(known, unloadedReadings(network, read, 10e6));
      expect(soundLargestMiss).toBeGreaterThan(1);
      expect(suspects[0]!.fault.text).toMatch(expected);
    }
  });

  it('are none where all readings are those of a sound board', () => {
    const sound = presetBuild('soft-plain');
    const network = networkOf(sound, T);
    const read = new Map(meterReadings(network, 10e6).map(({ net, readsV }) => [net, readsV]));
    expect(
      suspectsOf(faultTable(network, voltageBands(lone(sound), T)), unloadedReadings(network, read, 10e6))
        .soundLargestMiss,
    ).toBeLessThan(0.1);
  });

  it('are none where the leads of the meter are swapped', () => {
    const sound = presetBuild('germanium-fuzz-plain');
    const network = networkOf(sound, T);
    const known = faultTable(network, voltageBands(lone(sound), T));
    const read = new Map([...known.sound].map(([net, volts]) => [net, -volts]));
    expect(suspectsOf(known, read).areLeadsSwapped).toBe(true);
    expect(suspectsOf(known, known.sound).areLeadsSwapped).toBe(false);
  });

  it('that take the supply away are there too: a protection diode turned round', () => {
    const { faults } = faultTable(networkOf(presetBuild('soft-plain'), T), new Map());
    const turned = faults.find(({ text }) => text === 'D7 is turned round')!;
    // A silicon rectifier of some amperes has about a volt.
    expect(turned.volts.get('supply')!).toBeGreaterThan(0.5);
    expect(turned.volts.get('supply')!).toBeLessThan(1.5);
  });

  it('name for a net first the parts beside it', () => {
    const known = faultTable(networkOf(presetBuild('soft-plain'), T), new Map());
    const low = suspectsAt(known, 'buffered', 'low').map(({ part }) => part);
    expect(low.slice(0, 4).every((part) => ['Q1', 'R2', 'R3', 'C1'].includes(part))).toBe(true);
    expect(suspectsAt(known, 'buffered', 'high')[0]!.text).toBe('R3 is not soldered or broken');
  });
});
