import { describe, expect, it } from 'vitest';
import { FrequencyResponse } from '../../engine/analysis/frequency-response.ts';
import { swingLimits } from '../../engine/analysis/swing-limits.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { presetNames } from '../../engine/cli/preset-files.ts';
import { GROUND } from '../../engine/devices/node.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import type { Network, Primitive } from '../../engine/network/network.ts';
import { findOpamp } from '../../engine/parts/catalogue.ts';
import { opampPrimitives } from '../../engine/parts/opamp-primitives.ts';
import { OPAMPS } from '../../engine/parts/opamps.ts';
import { CircuitSimulator } from '../../engine/solver/circuit-simulator.ts';
import { circuitValues, compileCircuit } from '../../engine/solver/compile.ts';
import { operatingPoint } from '../../engine/solver/operating-point.ts';
import { presetBuild } from '../preset-build.ts';
import {
  AMPLIFIER,
  bipolar,
  capacitor,
  network,
  opamp,
  peakOf,
  resistor,
  run,
  sine,
  source,
} from './small-networks.ts';

const RATE_HZ = 768_000;
const SUPPLY_V = 9;
const OHMS = 200;
const LOADED = {
  ...AMPLIFIER,
  underLoad: { saturationOhms: OHMS, sourceLimitA: 20e-3, sinkLimitA: 15e-3 },
};
/** Where an output without a load limits, V. */
const LIMIT_V = SUPPLY_V - AMPLIFIER.headroomHighV;

/** An amplifier of 101 on ±9 V with a load. */
const amplifier = (load: readonly Primitive[], data = LOADED): Network =>
  network([
    source('vcc', SUPPLY_V),
    source('vee', -SUPPLY_V),
    opamp('U1', ['in', 'minus', 'out', 'vcc', 'vee'], data),
    resistor('RF', 'out', 'minus', 1e9),
    resistor('RG', 'minus', GROUND, 1e7),
    ...load,
  ]);

/** Its output a millisecond after the input was set, V. */
function settledV(circuit: Network, inV: number): number {
  return run(circuit, RATE_HZ, new Float64Array(768).fill(inV)).output.at(-1)!;
}

describe('an output at its limit', () => {
  // At rest the limit cancels the whole slew rate: q(e) = 0.1 V, so e = 0.15 V beyond it. The load divides both.
  it.each([300, 1e3, 2e3, 10e3])('is divided by its own resistance and a load of %d Ω', (ohms) => {
    const circuit = amplifier([resistor('RL', 'out', GROUND, ohms)]);
    const expected = ((LIMIT_V + 0.15) * ohms) / (ohms + OHMS);
    // In 300 Ω flow 16 mA: more than it takes, less than it gives.
    expect(settledV(circuit, 1)).toBeCloseTo(expected, 2);
    if (ohms > 300) expect(settledV(circuit, -1)).toBeCloseTo(-expected, 2);
  });

  it.each([
    [1, 20e-3],
    [-1, -15e-3],
  ])('gives no more than the limit of its current into 10 Ω, driven by %d V', (inV, amps) => {
    const volts = settledV(amplifier([resistor('RL', 'out', GROUND, 10)]), inV);
    // The knee is a twentieth of the limit.
    expect(volts / 10 / amps).toBeGreaterThan(1);
    expect(volts / 10 / amps).toBeLessThan(1.05);
  });

  it('rests where it limits', () => {
    // With 2 mV at the input through 1e9/1e7 it would be beyond: the bias current gives it.
    const circuit = amplifier([resistor('RL', 'out', GROUND, 1e3)], { ...LOADED, inputBiasA: -1e-6 });
    expect(operatingPoint(circuit).volts.get('out')!).toBeCloseTo((-(LIMIT_V + 0.15) * 1e3) / 1200, 2);
  });

  it('is a resistance for a small signal: its supply reaches the load divided and filtered', () => {
    const circuit = network([
      source('vcc', SUPPLY_V),
      source('low', -1),
      opamp('U1', ['low', GROUND, 'out', 'vcc', 'in'], LOADED),
      resistor('RL', 'out', GROUND, 800),
      capacitor('CL', 'out', GROUND, 1e-6),
    ]);
    const response = new FrequencyResponse(circuit);
    // 800/(800 + 200), −1.94 dB; 160 Ω and 1 µF have their corner at 995 Hz.
    expect(response.at(1, 'out').decibels).toBeCloseTo(20 * Math.log10(0.8), 2);
    expect(response.at(1e6 / (2 * Math.PI * 160), 'out').decibels).toBeCloseTo(
      20 * Math.log10(0.8) - 3.01,
      2,
    );
  });

  it('has the swing that the level map states', () => {
    const circuit = amplifier([resistor('RL', 'out', GROUND, 1e3)]);
    const [limit] = swingLimits(circuit, 1000);
    expect(limit!.highV).toBeCloseTo((LIMIT_V * 1e3) / 1200, 4);
    expect(limit!.lowV).toBeCloseTo((-LIMIT_V * 1e3) / 1200, 4);
  });
});

describe('the load of an output', () => {
  it('changes nothing where the output reaches no limit', () => {
    const circuit = networkOf(presetBuild('soft-plain'), NOMINAL_TEMPERATURE_K);
    const input = sine(7680, RATE_HZ, 440, 1);
    const { output } = run(circuit, RATE_HZ, input);
    const { output: bare } = run(withoutLoads(circuit), RATE_HZ, input);
    const gap = peakOf(output.map((volts, n) => volts - bare[n]!));
    expect(gap).toBeLessThan(1e-4 * peakOf(bare));
  });

  it.each([
    // Light: it draws 4 µA. Behind a resistor with a large capacitor. Straight at a capacitor. Behind a diode one way.
    ['a megohm', [resistor('RL', 'out', GROUND, 1e6)], 'predicted'],
    ['1 kΩ and 1 µF', [resistor('RL', 'out', 'c', 1e3), capacitor('CL', 'c', GROUND, 1e-6)], 'predicted'],
    ['10 nF', [capacitor('CL', 'out', GROUND, 10e-9)], 'solved'],
  ] as const)('is %s: the output is %s', (_, load, knowledge) => {
    const { opamps } = compileCircuit(amplifier(load), { sampleRateHz: RATE_HZ });
    expect(opamps.map(({ load: own }) => own)).toEqual([knowledge]);
  });

  it('is known too where the feedback alone presses the output to its limit', () => {
    // 2 V threefold are 6 V below 8 V; the feedback draws them through a third or a thirtieth of 200 Ω.
    const fed = (ohms: number) =>
      network([
        source('vcc', SUPPLY_V),
        source('vee', -SUPPLY_V),
        opamp('U1', ['in', 'minus', 'out', 'vcc', 'vee'], LOADED),
        resistor('RF', 'out', 'minus', (2 / 3) * ohms),
        resistor('RG', 'minus', GROUND, ohms / 3),
      ]);
    const loadOf = (ohms: number) => compileCircuit(fed(ohms), { sampleRateHz: RATE_HZ }).opamps[0]!.load;
    expect(loadOf(30 * OHMS)).toBe('none');
    expect(loadOf(3 * OHMS)).toBe('predicted');
  });

  it('is known behind a transistor that amplifies from half of the limit on, since pulses are shifted', () => {
    const data = { saturationCurrentA: 1e-14, forwardBeta: 200, reverseBeta: 4, earlyV: 100 };
    // A gain of three of 2 V; a transistor beside it, as a follower or with its collector free.
    const beside = (collector: string) =>
      network([
        source('vcc', SUPPLY_V),
        source('vee', -SUPPLY_V),
        opamp('U1', ['in', 'minus', 'out', 'vcc', 'vee'], LOADED),
        resistor('RF', 'out', 'minus', 2e5),
        resistor('RG', 'minus', GROUND, 1e5),
        resistor('RC', 'vcc', 'collector', 1e4),
        bipolar('npn', 'Q1', [collector, 'in', 'emitter'], data),
        resistor('RE', 'emitter', 'vee', 1e5),
      ]);
    const loadOf = (collector: string) =>
      compileCircuit(beside(collector), { sampleRateHz: RATE_HZ }).opamps[0]!.load;
    expect(loadOf('vcc')).toBe('none');
    expect(loadOf('collector')).toBe('predicted');
  });

  it('that is predicted does not move an output at rest, from the first sample on', () => {
    const circuit = network([
      source('vcc', SUPPLY_V),
      resistor('R1', 'vcc', 'bias', 10e3),
      resistor('R2', 'bias', GROUND, 10e3),
      capacitor('C2', 'in', 'bias', 1e-6),
      opamp('U1', ['bias', 'minus', 'out', 'vcc', GROUND], LOADED),
      resistor('RF', 'out', 'minus', 1e5),
      resistor('RG', 'minus', 'g', 1e3),
      capacitor('C3', 'g', GROUND, 1e-5),
      resistor('R4', 'out', 'c', 1e3),
      resistor('R5', 'c', GROUND, 3e3),
      capacitor('C1', 'c', GROUND, 1e-6),
    ]);
    const compiled = compileCircuit(circuit, { sampleRateHz: RATE_HZ });
    expect(compiled.opamps[0]!.load).toBe('predicted');
    const simulator = new CircuitSimulator(compiled);
    const rest = operatingPoint(circuit).volts.get('out')!;
    const output = new Float64Array(512);
    for (let pass = 0; pass < 2; pass++) {
      simulator.process(new Float64Array(512), output, 512);
      expect(peakOf(output.map((volts) => volts - rest))).toBeLessThan(1e-9);
      simulator.reset();
    }
  });

  it('counts the input current of its own feedback and of the next op-amp, once', () => {
    const biased = { ...LOADED, inputBiasA: 1e-6 };
    const follower = (load: readonly Primitive[]) =>
      network(
        [
          source('battery', SUPPLY_V),
          resistor('RS', 'battery', 'vcc', 100),
          capacitor('CS', 'vcc', GROUND, 1e-6),
          // Its input is at the supply, so that the output rests at its limit, which the load moves.
          resistor('RI', 'vcc', 'input', 10e3),
          opamp('U1', ['input', 'out', 'out', 'vcc', GROUND], biased),
          opamp('U2', ['out', 'after', 'after', 'vcc', GROUND], biased),
          ...load,
        ],
        { rails: ['vcc'] },
      );
    for (const [load, knowledge] of [
      [[resistor('RL', 'out', GROUND, 1e6)], 'predicted'],
      [[capacitor('CL', 'out', GROUND, 10e-9)], 'solved'],
      [[], 'predicted'],
    ] as const) {
      const compiled = compileCircuit(follower(load), { sampleRateHz: RATE_HZ, observed: ['vcc', 'out'] });
      expect(compiled.opamps[0]!.load).toBe(knowledge);
      const simulator = new CircuitSimulator(compiled);
      const rest = operatingPoint(follower(load)).volts;
      // Ten times the time constant of the supply, 0.1 ms.
      simulator.process(new Float64Array(768), new Float64Array(768), 768);
      for (const net of ['vcc', 'out'])
        expect(simulator.voltage(compiled.nodeNames.indexOf(net)), `${net}, ${knowledge}`).toBeCloseTo(
          rest.get(net)!,
          9,
        );
    }
  });

  it.each(presetNames())('is known in one way whatever the knobs of %s', (name) => {
    const build = presetBuild(name);
    const keyAt = (knobs: Readonly<Record<string, number>>) =>
      circuitValues(networkOf({ ...build, knobs: { ...build.knobs, ...knobs } }, NOMINAL_TEMPERATURE_K), {
        sampleRateHz: RATE_HZ,
      }).structureKey;
    const own = keyAt({});
    for (const knob of Object.keys(build.knobs))
      for (const rotation of [0, 0.5, 1]) expect(keyAt({ [knob]: rotation }), knob).toBe(own);
  });
});

describe('the output of a type', () => {
  it('of TL072 swings ±13.5 V into 10 kΩ and ±12 V into 2 kΩ on ±15 V, as ST TL072 says', () => {
    for (const [ohms, volts] of [
      [10e3, 13.5],
      [2e3, 12],
    ] as const) {
      const swing = settledV(stage('TL072', ohms), 1);
      // The limit is soft: 0.15 V, which the load divides.
      expect(swing).toBeGreaterThan(volts);
      expect(swing).toBeLessThan(volts + 0.16);
    }
  });

  it.each(['LM741', 'MC1458'])('of %s gives 25 mA into a short circuit, as its sheet says', (type) => {
    const amps = settledV(stage(type, 0.1), 1) / 0.1;
    expect(amps).toBeGreaterThan(25e-3);
    expect(amps).toBeLessThan(27e-3);
  });

  it('is known of every type but LM358, whose output stage is built from junctions', () => {
    expect(OPAMPS.filter(({ output }) => !output).map(({ type }) => type)).toEqual(['LM358']);
    for (const { type, output } of OPAMPS) if (output) expect(output.source, type).not.toBe('');
  });
});

/** An amplifier of a type on ±15 V. */
function stage(type: string, ohms: number): Network {
  return network([
    source('vcc', 15),
    source('vee', -15),
    ...opampPrimitives(findOpamp(type), 'U1', ['in', 'minus', 'out', 'vcc', 'vee']),
    resistor('RF', 'out', 'minus', 1e6),
    resistor('RG', 'minus', GROUND, 1e4),
    resistor('RL', 'out', GROUND, ohms),
  ]);
}

function withoutLoads(circuit: Network): Network {
  const primitives = circuit.primitives.map((primitive): Primitive => {
    if (primitive.kind !== 'opamp') return primitive;
    const { underLoad: _, ...data } = primitive.data;
    return { ...primitive, data };
  });
  return { ...circuit, primitives };
}
