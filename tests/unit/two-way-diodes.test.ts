import { describe, expect, it } from 'vitest';
import { renderOffline } from '../../engine/analysis/offline-render.ts';
import { canonicalSetting } from '../../engine/builds/canonical-setting.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { GROUND } from '../../engine/devices/node.ts';
import { ofPart } from '../../engine/devices/origin.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import type { Network, Primitive } from '../../engine/network/network.ts';
import { pruneNetwork } from '../../engine/network/prune.ts';
import { findDiode, findFet } from '../../engine/parts/catalogue.ts';
import { forwardVoltage, reverseVoltage, typeForwardVoltage } from '../../engine/parts/diode-curve.ts';
import { diodePrimitives } from '../../engine/parts/diode-primitives.ts';
import { DIODES } from '../../engine/parts/diodes.ts';
import { CircuitSimulator } from '../../engine/solver/circuit-simulator.ts';
import { compileCircuit } from '../../engine/solver/compile.ts';
import { operatingPoint } from '../../engine/solver/operating-point.ts';
import { presetBuild } from '../preset-build.ts';

const TWO_WAY = DIODES.filter(({ reverse }) => reverse !== undefined);
const OHMS = 1000;

function network(primitives: readonly Primitive[]): Network {
  return { input: 'in', output: 'top', rails: [], temperatureK: NOMINAL_TEMPERATURE_K, primitives };
}

/** Rest voltage of cathode (top) or anode (top) with a source through 1 k, and the current. */
function atRest(diodes: readonly Primitive[], sourceV: number) {
  const circuit = network([
    { kind: 'voltageSource', ...ofPart('V1'), nodes: ['source', GROUND], volts: sourceV },
    { kind: 'resistor', ...ofPart('R1'), nodes: ['source', 'top'], ohms: OHMS },
    ...diodes,
  ]);
  const topV = operatingPoint(circuit).volts.get('top')!;
  return { topV, currentA: (sourceV - topV) / OHMS };
}

const string = (type: string, count: number, nodes: readonly [string, string]) =>
  diodePrimitives(findDiode(type), ofPart('D1'), count, nodes);

describe('a diode that conducts both ways', () => {
  it('is a Zener or a MOSFET with its gate at its drain', () => {
    expect(TWO_WAY.map(({ type }) => type)).toEqual([
      'BZX79C3V3',
      'BZX79C3V9',
      'BZX79C4V7',
      'BZX79C5V1',
      '2N7000 gate to drain',
      'BS170 gate to drain',
    ]);
  });

  it.each(TWO_WAY)('has in the circuit the voltage of its closed forms: $type', ({ type, data, reverse }) => {
    for (const count of [1, 2, 3]) {
      const back = atRest(string(type, count, [GROUND, 'top']), 20);
      // The closed form leaves out the forward junction's reverse current, at most 2.5 nA of 4 mA or more.
      expect(back.topV).toBeCloseTo(reverseVoltage(reverse!, back.currentA, NOMINAL_TEMPERATURE_K, count), 5);
      const ahead = atRest(string(type, count, ['top', GROUND]), 20);
      // This one leaves out the breakdown branch's own reverse current, at most 0.13 uA of 18 mA: 1 uV.
      const aheadV = forwardVoltage(data, ahead.currentA, NOMINAL_TEMPERATURE_K, count);
      expect(ahead.topV).toBeCloseTo(aheadV, 5);
    }
  });

  it.each(TWO_WAY)('has in series the voltage of as many single ones: $type', ({ type }) => {
    for (const sourceV of [-20, -6, 6, 20]) {
      const single = [
        ...diodePrimitives(findDiode(type), ofPart('D1'), 1, ['top', 'a']),
        ...diodePrimitives(findDiode(type), ofPart('D2'), 1, ['a', 'b']),
        ...diodePrimitives(findDiode(type), ofPart('D3'), 1, ['b', GROUND]),
      ];
      // The minimum conductance of the network is for each string: 1 pS, picoamperes.
      expect(atRest(string(type, 3, ['top', GROUND]), sourceV).topV).toBeCloseTo(
        atRest(single, sourceV).topV,
        6,
      );
    }
  });

  it.each(TWO_WAY)('clips a running signal at the same level as at rest: $type', ({ type }) => {
    const circuit = network([
      { kind: 'resistor', ...ofPart('R1'), nodes: ['in', 'top'], ohms: OHMS },
      ...string(type, 1, [GROUND, 'top']),
    ]);
    const simulator = new CircuitSimulator(compileCircuit(circuit, { sampleRateHz: 192_000 }));
    const output = new Float64Array(8000);
    // A slow ramp from −9 to 9 V; 1 k and 450 pF are fast (0.45 us, and 5 us a sample of 2 mV).
    const input = Float64Array.from(output, (_, n) => 9 * Math.sin((Math.PI * (n - 4000)) / 8000));
    simulator.process(input, output, output.length);
    expect(simulator.failures).toBe(0);
    for (const n of [500, 2500, 5500, 7500]) {
      // The delay of the ramp: 1.8 mV a sample × 0.1 samples.
      expect(Math.abs(output[n]! - atRest(string(type, 1, [GROUND, 'top']), input[n]!).topV)).toBeLessThan(
        1e-3,
      );
    }
  });

  it('works in a build in either place, alone, piggybacked and behind an open switch', () => {
    const soft = presetBuild('soft-plain');
    const inputV = Float64Array.from(
      { length: 960 },
      (_, n) => 0.3 * Math.sin((2 * Math.PI * 220 * n) / 48_000),
    );
    for (const { type } of TWO_WAY) {
      for (const clipping of ['symmetric', 'lifted', 'asymmetric']) {
        const D1 = canonicalSetting({ ref: 'D1', kind: 'diode' }, { type, count: 2, piggyback: type });
        const D2 = canonicalSetting({ ref: 'D2', kind: 'diode' }, { type, fit: 'open' });
        const build = { ...soft, parts: { ...soft.parts, D1, D2 }, switches: { ...soft.switches, clipping } };
        const { outputV } = renderOffline(networkOf(build, NOMINAL_TEMPERATURE_K), inputV, {
          factor: 4,
          quality: 'linear-phase',
          sampleRateHz: 48_000,
        });
        expect(outputV.every(Number.isFinite), `${type} ${clipping}`).toBe(true);
      }
    }
  });

  it('is removed with its part when nothing else connects it', () => {
    // Only a resistor can carry current; the string is connected at one end.
    for (const { type } of TWO_WAY) {
      const hanging = network([
        { kind: 'resistor', ...ofPart('R1'), nodes: ['in', 'top'], ohms: OHMS },
        { kind: 'resistor', ...ofPart('R2'), nodes: ['top', GROUND], ohms: OHMS },
        ...string(type, 1, ['top', 'nowhere']),
      ]);
      expect(pruneNetwork(hanging).primitives.map(({ ref }) => ref)).toEqual(['R1', 'R2']);
    }
  });
});

describe('Zener diodes', () => {
  // BZX79C table: limits and differential resistance at 5 mA, 25 °C; the data is for 27 °C, about a millivolt
  // different.
  it.each([
    ['BZX79C3V3', 3.1, 3.5, 95],
    ['BZX79C3V9', 3.7, 4.1, 90],
    ['BZX79C4V7', 4.4, 5, 80],
    ['BZX79C5V1', 4.8, 5.4, 60],
  ])('%s breaks down between %d and %d V with less than %d ohm', (type, least, most, ohms) => {
    const at = (currentA: number) =>
      reverseVoltage(findDiode(type).reverse!, currentA, NOMINAL_TEMPERATURE_K);
    expect(at(5e-3)).toBeGreaterThan(least);
    expect(at(5e-3)).toBeLessThan(most);
    const differentialOhms = (at(5.05e-3) - at(4.95e-3)) / 0.1e-3;
    expect(differentialOhms).toBeLessThan(ohms);
    expect(differentialOhms).toBeGreaterThan(ohms / 2);
  });

  // BZX79 sheet, from memory: largest reverse current at 1 or 2 V.
  it.each([
    ['BZX79C3V3', 1, 5e-6],
    ['BZX79C3V9', 1, 3e-6],
    ['BZX79C4V7', 2, 3e-6],
    ['BZX79C5V1', 2, 2e-6],
  ])('%s leaks at %d V no more than %d A', (type, reverseV, most) => {
    const reverse = findDiode(type).reverse!;
    expect(reverseVoltage(reverse, most, NOMINAL_TEMPERATURE_K)).toBeGreaterThan(reverseV);
  });

  it('have a softer knee at lower voltages, because of tunnelling', () => {
    // Fraction of the nominal voltage that remains at a fiftieth of the current; common practice, no source.
    const shares = ['BZX79C3V3', 'BZX79C3V9', 'BZX79C4V7', 'BZX79C5V1'].map((type) => {
      const { reverse } = findDiode(type);
      const at = (currentA: number) => reverseVoltage(reverse!, currentA, NOMINAL_TEMPERATURE_K);
      return at(0.1e-3) / at(5e-3);
    });
    expect(shares).toEqual([...shares].sort((one, other) => one - other));
    expect(shares[0]).toBeLessThan(0.7);
  });
});

describe('a MOSFET with its gate at its drain', () => {
  it('conducts above its gate threshold in one direction and through its body diode in the other', () => {
    const { reverse, data } = findDiode('2N7000 gate to drain');
    expect(data).toBe(findFet('2N7000').bodyDiode);
    const thresholdV = reverseVoltage(reverse!, 1e-3, NOMINAL_TEMPERATURE_K);
    // Vishay 70226 rev F: V_GS(th) 0.8 to 3 V; it is measured with gate at drain at 1 mA.
    expect(thresholdV).toBeGreaterThan(0.8);
    expect(thresholdV).toBeLessThan(3);
    // The same sheet: 2.1 V typical for both types.
    for (const type of ['2N7000 gate to drain', 'BS170 gate to drain']) {
      const voltsAt1mA = reverseVoltage(findDiode(type).reverse!, 1e-3, NOMINAL_TEMPERATURE_K);
      expect(Math.abs(voltsAt1mA - 2.1), type).toBeLessThan(0.03);
    }
  });

  it('conducts below its threshold, about 200 mV from 10 uA to 1 mA, and has the square law’s 2.38 V at 10 mA', () => {
    // Subthreshold slope: an estimate of 100 mV a decade, no source. 10 mA: MIT, "Jeff Lang's model of a 2N7000",
    // V = 2.0 V + √(2·10 mA/0.138 A/V²).
    const { reverse } = findDiode('2N7000 gate to drain');
    const at = (amps: number) => reverseVoltage(reverse!, amps, NOMINAL_TEMPERATURE_K);
    expect(Math.abs(at(1e-3) - at(10e-6) - 0.2)).toBeLessThan(0.03);
    expect(Math.abs(at(10e-3) - (2 + Math.sqrt(0.02 / 0.138)))).toBeLessThan(0.01);
  });
});

describe('a wiring of MOSFETs as a diode', () => {
  it('of two back to back conducts equally in both directions: one body diode and one channel', () => {
    const single = findDiode('2N7000 gate to drain');
    for (const nodes of [
      ['top', GROUND],
      [GROUND, 'top'],
    ] as const) {
      const { topV, currentA } = atRest(string('2N7000 back to back', 1, nodes), 20);
      const body = forwardVoltage(single.data, currentA, NOMINAL_TEMPERATURE_K);
      const channel = reverseVoltage(single.reverse!, currentA, NOMINAL_TEMPERATURE_K);
      // Not counted: the leakage of the junctions, 1e-12 S, and the body diode's reverse current.
      expect(topV).toBeCloseTo(body + channel, 5);
      const entry = findDiode('2N7000 back to back');
      expect(typeForwardVoltage(entry, currentA, NOMINAL_TEMPERATURE_K)).toBeCloseTo(body + channel, 9);
    }
  });

  it('with a blocking diode conducts through its channel, in one direction only', () => {
    const { topV, currentA } = atRest(string('2N7000 with blocking diode', 1, ['top', GROUND]), 20);
    const entry = findDiode('2N7000 with blocking diode');
    expect(topV).toBeCloseTo(typeForwardVoltage(entry, currentA, NOMINAL_TEMPERATURE_K), 5);
    // In the other direction only the silicon diode's reverse current flows, nanoamperes.
    expect(
      Math.abs(atRest(string('2N7000 with blocking diode', 1, ['top', GROUND]), -20).currentA),
    ).toBeLessThan(1e-8);
  });

  it('has twice the voltage in a string of two', () => {
    for (const type of ['2N7000 back to back', '2N7000 with blocking diode']) {
      const { topV, currentA } = atRest(string(type, 2, ['top', GROUND]), 20);
      expect(topV).toBeCloseTo(2 * typeForwardVoltage(findDiode(type), currentA, NOMINAL_TEMPERATURE_K), 5);
    }
  });

  it('plays in a build, in emitted code as in the interpreter', () => {
    const plain = presetBuild('soft-asymmetric');
    const parts = { D1: { type: '2N7000 back to back' }, D2: { type: '2N7000 with blocking diode' } };
    const network = networkOf({ ...plain, parts: { ...plain.parts, ...parts } }, NOMINAL_TEMPERATURE_K);
    const input = Float64Array.from({ length: 9600 }, (_, n) => Math.sin((2 * Math.PI * 440 * n) / 384_000));
    const [fast, slow] = [false, true].map((interpreted) => {
      const simulator = new CircuitSimulator(compileCircuit(network, { sampleRateHz: 384_000, interpreted }));
      const output = new Float64Array(input.length);
      simulator.process(input, output, input.length);
      expect([simulator.failures, simulator.resets]).toEqual([0, 0]);
      return output;
    });
    const difference = fast!.reduce((most, volts, n) => Math.max(most, Math.abs(volts - slow![n]!)), 0);
    expect(difference).toBeLessThan(1e-10);
  });
});
