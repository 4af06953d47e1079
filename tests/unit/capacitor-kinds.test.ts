import { describe, expect, it } from 'vitest';
import { capacitorKindEffect } from '../../engine/analysis/capacitor-kind-effect.ts';
import { orderRows } from '../../engine/analysis/order-list.ts';
import { voltageChart } from '../../engine/analysis/voltage-chart.ts';
import type { Build, PartSetting } from '../../engine/builds/build.ts';
import { parseBuildFile, serialiseBuild } from '../../engine/builds/build-file.ts';
import { bypassedNetworkOf } from '../../engine/builds/bypassed-network.ts';
import { canonicalSetting } from '../../engine/builds/canonical-setting.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { parseSettingText, settingText } from '../../engine/builds/part-setting.ts';
import { networkAtSpread, partSpread } from '../../engine/builds/part-spread.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import type { Network } from '../../engine/network/network.ts';
import { CAPACITOR_KIND_NAMES, capacitanceLeft } from '../../engine/parts/capacitor-kinds.ts';
import { compileCircuit } from '../../engine/solver/compile.ts';
import { formatValue, parseValue } from '../../engine/units/value-code.ts';
import { presetBuild } from '../preset-build.ts';

const plain = presetBuild('soft-plain');
const withPart = (ref: string, setting: PartSetting): Build => ({
  ...plain,
  parts: { ...plain.parts, [ref]: setting },
});
const faradsOf = ({ primitives }: Network, ref: string) => {
  const part = primitives.find(({ kind, origin }) => kind === 'capacitor' && origin.ref === ref);
  return part?.kind === 'capacitor' ? part.farads : Number.NaN;
};
const ohmsOf = ({ primitives }: Network, name: string) => {
  const part = primitives.find(({ ref }) => ref === name);
  return part?.kind === 'resistor' ? part.ohms : Number.NaN;
};
const read = (text: string, current: PartSetting = {}) =>
  parseSettingText({ ref: 'C1', kind: 'capacitor' }, text, current);

describe('a ceramic capacitor', () => {
  // Maker's curves as quoted in a forum: 22 µF 25 V X5R 0805, 1 µF 25 V X7R 0805.
  it.each([
    ['X5R-small', 1, 20 / 22],
    ['X5R-small', -5, 9 / 22],
    ['X5R-small', 12, 4 / 22],
    ['X7R-small', 5, 0.8],
    ['X7R-small', 25, 0.5],
    ['C0G', 25, 1],
    ['film', 25, 1],
  ] as const)('of %s has at %d V the share of its capacitance that its curve has', (kind, volts, share) => {
    expect(capacitanceLeft(kind, volts)).toBeCloseTo(share, 12);
  });

  it('loses no more where its curve ends, and never gains', () => {
    for (const kind of CAPACITOR_KIND_NAMES) {
      let last = 1;
      for (let volts = 0; volts <= 40; volts += 0.25) {
        const share = capacitanceLeft(kind, volts);
        expect(share).toBeLessThanOrEqual(last);
        expect(share).toBeGreaterThan(0.05);
        last = share;
      }
    }
  });

  it('has what its DC voltage leaves of it in its place', () => {
    const build = withPart('C8', { value: '100n', dielectric: 'X7R-small' });
    const { nets } = voltageChart(networkOf(build, NOMINAL_TEMPERATURE_K));
    const { volts } = nets.find(({ net }) => net === 'output base')!;
    // Between the output potentiometer at ground and the base near 4.2 V; on a line from 1 at 0 V to 0.8 at 5 V.
    expect(volts).toBeGreaterThan(3.5);
    const wanted = 100e-9 * (1 - (0.2 * volts) / 5);
    expect(faradsOf(networkOf(build, NOMINAL_TEMPERATURE_K), 'C8') / wanted).toBeCloseTo(1, 6);
    expect(faradsOf(networkOf(plain, NOMINAL_TEMPERATURE_K), 'C8')).toBe(100e-9);
  });

  it('has it while the pedal is bypassed too', () => {
    const build: Build = { ...withPart('C1', { value: '22n', dielectric: 'X5R-small' }), bypass: 'buffered' };
    const engaged = faradsOf(networkOf(build, NOMINAL_TEMPERATURE_K), 'C1');
    expect(engaged).toBeLessThan(12e-9);
    expect(faradsOf(bypassedNetworkOf(build, NOMINAL_TEMPERATURE_K), 'C1') / engaged).toBeCloseTo(1, 1);
  });

  it('changes the response by what a first-order high-pass says', () => {
    const build = withPart('C1', { value: '22n', dielectric: 'X5R-small' });
    const { volts, farads, changeDb, hz } = capacitorKindEffect(build, 'C1', {
      temperatureK: NOMINAL_TEMPERATURE_K,
      around: {},
    })!;
    expect(Math.abs(volts)).toBeGreaterThan(4);
    expect(hz).toBe(20);
    // 510k with the follower's base beside it: the cutoff of 22 nF is 16 Hz by SciPy's solution of the same circuit.
    const level = (value: number) => -10 * Math.log10(1 + (16 / (value / 22e-9) / 20) ** 2);
    expect(changeDb).toBeCloseTo(level(farads) - level(22e-9), 0);
    expect(changeDb).toBeLessThan(-3);
  });
});

describe('an electrolytic capacitor', () => {
  it('has the limits of leakage and series resistance of its data sheet', () => {
    const network = networkOf(
      withPart('C9', { value: '10u', dielectric: 'electrolytic' }),
      NOMINAL_TEMPERATURE_K,
    );
    // Nichicon MA, Lelon RGA: tan δ 0.14 at 120 Hz is 18.6 Ω at 10 µF 25 V; 0.01·C·V is 2.5 µA at 25 V.
    expect(ohmsOf(network, 'C9 series')).toBeCloseTo(18.6, 1);
    expect(25 / ohmsOf(network, 'C9 leakage')).toBeCloseTo(2.5e-6, 9);
  });

  it('leaves a rail its own capacitor, so that the blocks stay apart', () => {
    const build = withPart('C10', { value: '47u', dielectric: 'electrolytic' });
    const circuit = (of: Build) =>
      compileCircuit(networkOf(of, NOMINAL_TEMPERATURE_K), { sampleRateHz: 8 * 48_000 });
    expect(circuit(build).rails).toHaveLength(circuit(plain).rails.length);
    expect(circuit(build).blocks).toHaveLength(circuit(plain).blocks.length);
  });
});

describe('the kind of a capacitor', () => {
  it('is that of the part to order', () => {
    const row = (ref: string, setting: PartSetting) =>
      orderRows(withPart(ref, setting)).find(({ refs }) => refs.includes(ref));
    expect(row('C9', { value: '10u', dielectric: 'film' })).toMatchObject({
      kind: 'film capacitor',
      value: '10u',
    });
    expect(row('C1', { value: '1u', dielectric: 'electrolytic' })).toMatchObject({
      kind: 'electrolytic capacitor',
      value: '1u',
    });
    const two = orderRows(withPart('C1', { value: '22n', dielectric: 'C0G', piggyback: '10n' }));
    expect(two.find(({ refs }) => refs.includes('C1 piggyback'))).toMatchObject({
      kind: 'C0G ceramic capacitor',
      value: '10n',
    });
  });

  it('lets the resistances of an electrolytic fall as its capacitance grows: both are that of one farad divided by it', () => {
    const build = withPart('C1', { value: '1u', dielectric: 'electrolytic' });
    const network = networkOf(build, NOMINAL_TEMPERATURE_K);
    const large = networkAtSpread(build, network, ['C1'], 'high');
    expect(faradsOf(large, 'C1') / faradsOf(network, 'C1')).toBeCloseTo(1.2, 12);
    for (const name of ['C1 series', 'C1 leakage'])
      expect(ohmsOf(network, name) / ohmsOf(large, name)).toBeCloseTo(1.2, 12);
  });

  it('is found near the operating point before where only a knob has turned', () => {
    const build = withPart('C8', { value: '100n', dielectric: 'X7R-small' });
    const turned = { ...build, knobs: { ...build.knobs, output: 0 } };
    const near = faradsOf(networkOf(turned, NOMINAL_TEMPERATURE_K), 'C8');
    // The same with other objects, so that nothing is known of it.
    const anew = faradsOf(networkOf(structuredClone(turned), NOMINAL_TEMPERATURE_K), 'C8');
    expect(near / anew).toBeCloseTo(1, 9);
  });

  it('decides how pieces differ: letter M for an electrolytic, K for the others (IEC 60062)', () => {
    const spread = (setting: PartSetting) => partSpread(withPart('C1', setting), 'C1');
    expect(spread({ value: '1u', dielectric: 'electrolytic' }).high).toBeCloseTo(1.2, 12);
    for (const dielectric of ['film', 'X7R-small'] as const)
      expect(spread({ value: '1u', dielectric }).high).toBeCloseTo(1.1, 12);
    const bigFilm = withPart('C9', { value: '10u', dielectric: 'film' });
    expect(partSpread(bigFilm, 'C9').high).toBeCloseTo(1.1, 12);
    expect(partSpread(plain, 'C9').high).toBeCloseTo(1.2, 12);
  });

  it('is read and written with its value, and a new value keeps it', () => {
    expect(read('100n x7r-small')).toEqual({ value: '100n', dielectric: 'X7R-small' });
    expect(read('47n', { value: '100n', dielectric: 'film' })).toEqual({ value: '47n', dielectric: 'film' });
    expect(read('C0G', { value: '100n' })).toEqual({ value: '100n', dielectric: 'C0G' });
    expect(read('ideal', { value: '100n', dielectric: 'film' })).toEqual({ value: '100n' });
    for (const kind of CAPACITOR_KIND_NAMES) {
      const setting: PartSetting = { value: '47n', dielectric: kind, piggyback: '10n' };
      expect(read(settingText(setting))).toEqual(setting);
    }
  });

  it.each(['100 nF', '4.7 uF', '4,7 µF', '2.2 n', '100 n', '1u', '47nF'])(
    'leaves every text that is a value one: %s',
    (text) => {
      expect(read(text)).toEqual({ value: formatValue(parseValue(text, 'farads'), 'farads') });
      expect(read(`${text} FILM`).dielectric).toBe('film');
      expect(read(`${text} Ideal`, { value: '1n', dielectric: 'film' }).dielectric).toBeUndefined();
    },
  );

  it('is refused where there is none, or none of that name', () => {
    expect(() => read('not fitted // 47n')).toThrow(/C1.*not fitted/);
    expect(() => read('100n mica')).toThrow(/C1 cannot be made of "mica": a capacitor is one of film, C0G/);
    const film = { value: '10k', dielectric: 'film' } as const;
    expect(() => canonicalSetting({ ref: 'R4', kind: 'resistor' }, film)).toThrow(
      /R4 cannot be made of "film"/,
    );
  });

  it('goes into a build file and comes back', () => {
    const build = withPart('C1', { value: '22n', dielectric: 'X5R-small' });
    expect(parseBuildFile(serialiseBuild(build)).parts['C1']).toEqual(build.parts['C1']);
  });
});
