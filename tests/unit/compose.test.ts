import { describe, expect, it } from 'vitest';
import { FrequencyResponse } from '../../engine/analysis/frequency-response.ts';
import { noiseOf } from '../../engine/analysis/noise.ts';
import { bypassedNetworkOf } from '../../engine/builds/bypassed-network.ts';
import { USUAL_INSTRUMENT, withInstrument } from '../../engine/builds/instrument.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { GROUND } from '../../engine/devices/node.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import { compose, type Joint, type Unit } from '../../engine/network/compose.ts';
import { netlistOf } from '../../engine/network/netlist.ts';
import type { Network, Primitive } from '../../engine/network/network.ts';
import { pruneNetwork } from '../../engine/network/prune.ts';
import { operatingPoint } from '../../engine/solver/operating-point.ts';
import { presetBuild } from '../preset-build.ts';
import { capacitor, network, resistor, run, sine } from './small-networks.ts';

const joined = (from: string, to: string, [out, input] = ['out', 'in']): Joint => [
  { unit: from, net: out! },
  { unit: to, net: input! },
];
const chain = (units: readonly Unit[]): Network =>
  compose(
    units,
    units.slice(1).map(({ id }, index) => joined(units[index]!.id, id)),
  ).network;

/** Series resistance, shunt capacitance. */
const lowPass = (ohms: number, farads: number) =>
  network([resistor('R1', 'in', 'out', ohms), capacitor('C1', 'out', GROUND, farads)]);

type Complex = readonly [re: number, im: number];
const times = ([a, b]: Complex, [c, d]: Complex): Complex => [a * c - b * d, a * d + b * c];
const over = (z: Complex, [c, d]: Complex): Complex => times(z, [c / (c * c + d * d), -d / (c * c + d * d)]);
const plus = ([a, b]: Complex, [c, d]: Complex): Complex => [a + c, b + d];

/** Gain from a network's input to one of its nets. */
function gainOf(of: Network, hz: number, net = of.output): Complex {
  const { decibels, phaseDegrees } = new FrequencyResponse(of).at(hz, net);
  const size = 10 ** (decibels / 20);
  const angle = (phaseDegrees * Math.PI) / 180;
  return [size * Math.cos(angle), size * Math.sin(angle)];
}

describe('networks that are composed', () => {
  it('load each other: two low-passes together are one of second order', () => {
    const [r1, c1, r2, c2] = [10e3, 10e-9, 47e3, 1e-9];
    const both = chain([
      { id: 'first', network: lowPass(r1, c1) },
      { id: 'second', network: lowPass(r2, c2) },
    ]);
    for (const hz of [100, 1000, 5000, 20_000]) {
      // H = 1/(1 + s(R1C1 + R1C2 + R2C2) + s²R1C1R2C2), from the ladder's two node equations
      const w = 2 * Math.PI * hz;
      const re = 1 - w * w * r1 * c1 * r2 * c2;
      const im = w * (r1 * c1 + r1 * c2 + r2 * c2);
      const { decibels, phaseDegrees } = new FrequencyResponse(both).at(hz, both.output);
      expect(decibels).toBeCloseTo(-10 * Math.log10(re * re + im * im), 9);
      expect(phaseDegrees).toBeCloseTo((-180 / Math.PI) * Math.atan2(im, re), 9);
    }
  });

  it('have the nets and parts of each unit under its name, and one common ground', () => {
    const { network: both, nodeOf } = compose(
      [
        { id: 'first', network: lowPass(1, 1) },
        { id: '', network: lowPass(2, 2) },
      ],
      [joined('first', '')],
    );
    expect(both).toMatchObject({ input: 'first:in', output: 'out' });
    expect(both.primitives.map(({ ref, nodes }) => [ref, ...nodes])).toEqual([
      ['first:R1', 'first:in', 'first:out'],
      ['first:C1', 'first:out', GROUND],
      ['R1', 'first:out', 'out'],
      ['C1', 'out', GROUND],
    ]);
    expect(both.primitives.map(({ origin }) => origin.unit)).toEqual(['first', 'first', '', '']);
    expect(nodeOf({ unit: '', net: 'in' })).toBe('first:out');
    expect(nodeOf({ unit: 'first', net: GROUND })).toBe(GROUND);
  });

  it('can be part of another composition', () => {
    const board = chain([
      { id: 'first', network: lowPass(1, 1) },
      { id: 'second', network: lowPass(2, 2) },
    ]);
    const whole = chain([
      { id: 'board', network: board },
      { id: 'last', network: lowPass(3, 3) },
    ]);
    expect(whole.input).toBe('board:first:in');
    expect(whole.primitives[2]).toMatchObject({
      ref: 'board:second:R1',
      origin: { unit: 'board:second', ref: 'R1' },
    });
  });

  it('keep the net name of the first unit at a joint, and keep ground everywhere', () => {
    const units = [
      { id: 'a', network: lowPass(1, 1) },
      { id: 'b', network: lowPass(1, 1) },
      { id: 'c', network: lowPass(1, 1) },
    ];
    const out = (unit: string) => ({ unit, net: 'out' });
    const three = compose(units, [
      [out('b'), out('a')],
      [out('c'), out('b')],
    ]);
    expect(['a', 'b', 'c'].map((unit) => three.nodeOf(out(unit)))).toEqual(['c:out', 'c:out', 'c:out']);
    const shorted = compose(units, [[out('a'), { unit: 'b', net: GROUND }]]);
    expect(shorted.nodeOf(out('a'))).toBe(GROUND);
  });

  it('are refused where units differ in temperature, have the same name or do not exist', () => {
    const one: Unit = { id: 'one', network: lowPass(1, 1) };
    const cold = { id: 'cold', network: { ...lowPass(1, 1), temperatureK: 280 } };
    expect(() => compose([one, cold], [])).toThrow('unit "cold" is at 280 K, "one" at 300.15 K');
    expect(() => compose([one, one], [])).toThrow('two units have the name "one"');
    expect(() => compose([one], [joined('one', 'two')])).toThrow('there is no unit "two"');
    expect(() => compose([], [])).toThrow('no unit');
    const board = compose([one], []).network;
    expect(() => compose([one, { id: '', network: board }], [])).toThrow('a net of the name "one:');
  });
});

describe('builds in a row', () => {
  const CABLE_FARADS = 2e-9;
  const TEST_OHMS = 50e3;
  const first = networkOf(presetBuild('soft-plain'), NOMINAL_TEMPERATURE_K);
  const second = networkOf(presetBuild('clean-plain'), NOMINAL_TEMPERATURE_K);
  const cable = network([capacitor('C1', 'in', GROUND, CABLE_FARADS)], { output: 'in' });
  const row = (...pedals: readonly Network[]) => {
    const units = pedals.map((pedal, index): Unit => ({ id: `pedal ${index + 1}`, network: pedal }));
    const cables = units.slice(1).map((_, index): Unit => ({ id: `cable ${index + 1}`, network: cable }));
    const inOrder = units.flatMap((unit, index) => (index > 0 ? [cables[index - 1]!, unit] : [unit]));
    const plugs = inOrder.slice(1).map(
      ({ id, network: { input } }, index): Joint => [
        { unit: inOrder[index]!.id, net: inOrder[index]!.network.output },
        { unit: id, net: input },
      ],
    );
    return compose(inOrder, plugs).network;
  };

  it('have the same operating point as each alone, with separate supply and bias', () => {
    const both = row(first, second);
    const { volts: together } = operatingPoint(pruneNetwork(both));
    for (const [unit, alone] of [
      ['pedal 1', first],
      ['pedal 2', second],
    ] as const) {
      const { volts } = operatingPoint(pruneNetwork(alone));
      for (const rail of alone.rails)
        expect(together.get(`${unit}:${rail}`), rail).toBeCloseTo(volts.get(rail)!, 9);
    }
    expect(both.rails).toEqual(
      [first, second].flatMap(({ rails }, index) => rails.map((rail) => `pedal ${index + 1}:${rail}`)),
    );
  });

  /**
   * Thévenin's theorem: the first build is its open output behind Z_o, loaded by the cable and the second's Z_i. Z_o
   * comes from the voltage drop at a known load, Z_i from the voltage that the second build leaves of a known source.
   */
  it('pass a signal with their gains and the voltage divider between them', () => {
    const both = row(first, second);
    const loaded = compose(
      [
        { id: '', network: first },
        { id: 'load', network: network([resistor('R1', 'in', GROUND, TEST_OHMS)], { output: 'in' }) },
      ],
      [joined('', 'load')],
      { input: { unit: '', net: first.input }, output: { unit: '', net: first.output } },
    ).network;
    const fed = chain([
      { id: 'source', network: network([resistor('R1', 'in', 'out', TEST_OHMS)]) },
      { id: '', network: second },
    ]);
    for (const hz of [30, 300, 1000, 3000, 15_000]) {
      const open = gainOf(first, hz);
      const outputOhms = times([TEST_OHMS, 0], plus(over(open, gainOf(loaded, hz)), [-1, 0]));
      const left = gainOf(fed, hz, 'source:out');
      const inputOhms = over(times([TEST_OHMS, 0], left), plus([1, 0], [-left[0], -left[1]]));
      const loadSiemens = plus(over([1, 0], inputOhms), [0, 2 * Math.PI * hz * CABLE_FARADS]);
      const divider = over([1, 0], plus([1, 0], times(outputOhms, loadSiemens)));
      const wanted = times(times(open, divider), gainOf(second, hz));
      const [re, im] = gainOf(both, hz);
      // Each figure is a ratio of gains that are solved to about 1e-12.
      expect(Math.hypot(re - wanted[0], im - wanted[1]) / Math.hypot(...wanted), `${hz} Hz`).toBeLessThan(
        1e-7,
      );
    }
  });

  it('play: three small networks give the same as one whole network', () => {
    const section = (place: string, from: string, to: string): readonly Primitive[] => [
      resistor(`R1 ${place}`, from, to, 4700),
      capacitor(`C1 ${place}`, to, GROUND, 10e-9),
      resistor(`R2 ${place}`, to, GROUND, 100e3),
    ];
    const byHand = network([
      ...section('a', 'in', 'm'),
      ...section('b', 'm', 'n'),
      ...section('c', 'n', 'out'),
    ]);
    const composed = chain(['a', 'b', 'c'].map((id) => ({ id, network: network(section('', 'in', 'out')) })));
    const input = sine(480, 48_000, 440, 1);
    expect(run(composed, 48_000, input).output).toEqual(run(byHand, 48_000, input).output);
  });

  it('are played and solved like any network, here three of them with a guitar before them', () => {
    const three = withInstrument(row(first, second, first), USUAL_INSTRUMENT);
    expect(three).toMatchObject({ input: 'guitar:strings', output: 'pedal 3:out' });
    const { simulator, output } = run(three, 8 * 48_000, sine(2000, 8 * 48_000, 440, 0.1));
    expect(simulator.failures + simulator.resets).toBe(0);
    expect(Math.max(...output)).toBeGreaterThan(0.05);
  });
});

describe('the origin of a primitive', () => {
  it('is in the netlist: part and piece of the build, or the unit where it is not a part of the build', () => {
    const build = presetBuild('soft-plain');
    const { parts } = netlistOf(
      pruneNetwork(withInstrument(networkOf(build, NOMINAL_TEMPERATURE_K), USUAL_INSTRUMENT)),
    );
    const origins = new Map(parts.map(({ ref, origin }) => [ref, origin]));
    expect(origins.get('R4')).toEqual({ unit: '', ref: 'R4' });
    expect(origins.get('VR1 ccw')).toEqual({ unit: '', ref: 'VR1', piece: 'ccw' });
    expect(origins.get('guitar:pickup coil')).toEqual({ unit: 'guitar', ref: 'pickup', piece: 'coil' });
    expect(origins.size).toBe(parts.length);
  });

  it('divides the noise of a bypass among its parts', () => {
    const build = { ...presetBuild('soft-plain'), bypass: 'transistor-switched' as const };
    const parts = noiseOf(bypassedNetworkOf(build, NOMINAL_TEMPERATURE_K)).contributions.map(
      ({ part }) => part,
    );
    expect(parts).toContain('Q102');
    expect(parts).toContain('R103');
    expect(parts).not.toContain('R101');
  });
});
