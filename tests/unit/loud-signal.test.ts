import { describe, expect, it } from 'vitest';
import type { Build } from '../../engine/builds/build.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { presetNames } from '../../engine/cli/preset-files.ts';
import { GROUND } from '../../engine/devices/node.ts';
import { ofPart } from '../../engine/devices/origin.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import type { Primitive } from '../../engine/network/network.ts';
import { compileCircuit } from '../../engine/solver/compile.ts';
import {
  type OpampLoads,
  type OutputReach,
  opampLoads,
  outputReach,
} from '../../engine/solver/loud-signal.ts';
import { presetBuild } from '../preset-build.ts';
import {
  AMPLIFIER,
  bipolar,
  capacitor,
  diode,
  fieldEffect,
  inductor,
  network,
  opamp,
  resistor,
  SILICON,
  source,
} from './small-networks.ts';

function placed(primitives: readonly Primitive[]) {
  const names = [...new Set([GROUND, 'in', ...primitives.flatMap(({ nodes }) => [...nodes])])];
  const elements = primitives.map((primitive) => ({
    primitive,
    offset: 0,
    nodes: primitive.nodes.map((name) => names.indexOf(name)),
  }));
  return { elements, indexOf: (name: string) => names.indexOf(name) };
}

/** The loads of these parts' op-amps; the nets named are rails. */
function loadsOf(primitives: readonly Primitive[], rails: readonly string[] = []): OpampLoads {
  const { elements, indexOf } = placed(primitives);
  return opampLoads(elements, indexOf('in'), rails.map(indexOf), NOMINAL_TEMPERATURE_K);
}

/** What 2 V make of the one op-amp's output. */
function outputOf(...primitives: Primitive[]): OutputReach {
  const { elements, indexOf } = placed([...BATTERIES, ...primitives]);
  const unknown = [Number.POSITIVE_INFINITY];
  return outputReach(elements, indexOf('in'), [], NOMINAL_TEMPERATURE_K, unknown)[0]!;
}

const reachOf = (...primitives: Primitive[]): number => outputOf(...primitives).reachedV;

/** An amplifier of gain 1 + feedback/1 kΩ between two nets, on ±9 V. */
const stage = (ref: string, input: string, out: string, feedbackOhms: number): Primitive[] => [
  opamp(ref, [input, `${ref} minus`, out, 'vcc', 'vee'], AMPLIFIER),
  resistor(`${ref} R1`, `${ref} minus`, GROUND, 1e3),
  resistor(`${ref} R2`, `${ref} minus`, out, feedbackOhms),
];
const BATTERIES = [source('vcc', 9), source('vee', -9)];
/** The headroom of 1 V leaves ±8 V. */
const SWING_V = 8;

/** Magnitude of the gain of a non-inverting amplifier with one pole, at 300 Hz, where these have more than at 3 kHz. */
const gainAt300Hz = (ideal: number) => {
  const { gainBandwidthHz, openLoopGain } = AMPLIFIER;
  return 1 / Math.hypot(1 / ideal + 1 / openLoopGain, 300 / gainBandwidthHz);
};

describe('the drive of an op-amp by a loud input', () => {
  it('is 2 V times the gain, relative to what the supply allows', () => {
    const { firstDrive, laterDrive } = loadsOf([...BATTERIES, ...stage('U1', 'in', 'out', 100e3)]);
    expect(firstDrive).toBeCloseTo((2 * gainAt300Hz(101)) / SWING_V, 8);
    expect(laterDrive).toBe(0);
  });

  it('is no more behind an op-amp that clips than that one’s swing gives', () => {
    const { firstDrive, laterDrive } = loadsOf([
      ...BATTERIES,
      ...stage('U1', 'in', 'first', 100e3),
      ...stage('U2', 'first', 'out', 10e3),
    ]);
    expect(firstDrive).toBeCloseTo((2 * gainAt300Hz(101)) / SWING_V, 8);
    expect(laterDrive).toBeCloseTo(gainAt300Hz(11), 8);
  });

  it('is below 1, which is not counted, where diodes in the feedback conduct', () => {
    const parts = [
      ...BATTERIES,
      ...stage('U1', 'in', 'out', 100e3),
      diode('D1', ['out', 'U1 minus'], SILICON),
      diode('D2', ['U1 minus', 'out'], SILICON),
    ];
    // A gain of 1 + 50 Ω/1 kΩ at most.
    expect(loadsOf(parts).firstDrive).toBe(0);
  });

  it('follows capacitors, inductors and transistors, and stops at a rail', () => {
    const data = { saturationCurrentA: 1e-14, forwardBeta: 200, reverseBeta: 4, earlyV: 100 };
    const through = (...parts: Primitive[]) =>
      loadsOf([...BATTERIES, ...stage('U1', 'x', 'out', 100e3), ...parts], ['bias']).firstDrive;
    const whole = (2 * gainAt300Hz(101)) / SWING_V;
    // Corners at 300 Hz: 3 dB less there, and still less at 3 kHz.
    const farads = 1 / (2 * Math.PI * 300 * 1e3);
    const lowPass = through(resistor('R3', 'in', 'x', 1e3), capacitor('C1', 'x', GROUND, farads));
    expect(lowPass).toBeCloseTo(whole / Math.SQRT2, 6);
    const henries = 1e3 / (2 * Math.PI * 300);
    const lowPassByL = through(inductor('L1', 'in', 'x', henries), resistor('R3', 'x', GROUND, 1e3));
    expect(lowPassByL).toBeCloseTo(whole / Math.SQRT2, 6);
    // A follower of 50 Ω·(1 + 1/β)⁻¹ with 10 kΩ.
    const follower = through(
      bipolar('npn', 'Q1', ['vcc', 'in', 'x'], data),
      resistor('R3', 'x', GROUND, 10e3),
    );
    expect(follower / whole).toBeCloseTo(1 / (1 + 50 / (1 + 1 / 200) / 10e3), 6);
    expect(through(resistor('R3', 'in', 'bias', 1e3), resistor('R4', 'bias', 'x', 1e3))).toBe(0);
  });

  it('passes a field-effect transistor that follows, amplifies or switches, and whose gate takes no current', () => {
    const data = { betaAPerV2: 1e-3, thresholdV: -1, lambdaPerV: 0, gateSaturationCurrentA: 1e-14 };
    const whole = (2 * gainAt300Hz(101)) / SWING_V;
    const through = (...parts: Primitive[]) =>
      loadsOf([...BATTERIES, ...stage('U1', 'x', 'out', 100e3), ...parts]).firstDrive / whole;
    const gate = [resistor('R3', 'in', 'gate', 1e6), resistor('R4', 'gate', GROUND, 1e8)];
    const coupled = [capacitor('C1', 'q', 'x', 1e-6), resistor('R7', 'x', GROUND, 1e6)];
    for (const kind of ['nJfet', 'pJfet', 'nMosfet'] as const) {
      const joined = (nodes: readonly [string, string, string], ...parts: Primitive[]) =>
        through(...gate, fieldEffect(kind, 'Q1', nodes, data), ...parts, ...coupled);
      // A follower of 2 mS with 10 kΩ has 95 % by hand; the divider at the gate takes 1 %.
      const follower = joined(['vcc', 'gate', 'q'], resistor('R5', 'q', GROUND, 10e3));
      expect(follower).toBeGreaterThan(0.9);
      expect(follower).toBeLessThan(1);
      // 2 mS at 4.7 kΩ amplify ninefold.
      expect(joined(['q', 'gate', GROUND], resistor('R5', 'vcc', 'q', 4.7e3))).toBeGreaterThan(9);
      // A switch that is on, with its gate at its channel, into 100 kΩ.
      const switched = [resistor('R5', 'q', GROUND, 100e3), resistor('R6', 'g', 'q', 1e6), ...coupled];
      expect(through(fieldEffect(kind, 'Q1', ['in', 'g', 'q'], data), ...switched)).toBeGreaterThan(0.95);
    }
  });
});

describe('what a loud input makes of an output', () => {
  const pair = (count: number) => [
    diode('D1', ['x', GROUND], SILICON),
    diode('D2', [GROUND, 'x'], SILICON, count),
  ];
  const gain = 11 / Math.hypot(1, (11 * 300) / AMPLIFIER.gainBandwidthHz);

  it('is not held back by a pair of diodes that the signal does not bring to conduct', () => {
    // 2 V · 5 kΩ/105 kΩ = 95 mV, at which a silicon diode carries nanoamperes.
    const divided = [resistor('R3', 'in', 'x', 100e3), resistor('R4', 'x', GROUND, 5e3)];
    const reachedV = reachOf(...stage('U1', 'x', 'out', 10e3), ...divided, ...pair(1));
    expect(reachedV / (gain * 2 * (5 / 105))).toBeGreaterThan(0.95);
    expect(reachedV / (gain * 2 * (5 / 105))).toBeLessThan(1);
  });

  it('is held by a pair that conducts, at no less than its forward voltage', () => {
    const reachedV = reachOf(...stage('U1', 'x', 'out', 10e3), resistor('R3', 'in', 'x', 10e3), ...pair(1));
    // By the diode's equation 0.50 V at 0.15 mA, which flow through 10 kΩ; the estimate may be 5 % lower, and higher.
    expect(reachedV / gain).toBeGreaterThan(0.48);
    expect(reachedV / gain).toBeLessThan(1);
  });

  it('is passed on as far as the further limit of an output that rests near the other one', () => {
    // Biased to 6 V of ±8 V, but for 6 mV by the finite gain: 14 V downwards, through a coupling capacitor.
    const parts = [
      ...BATTERIES,
      source('low', 6),
      opamp('U1', ['biased', 'U1 minus', 'first', 'vcc', 'vee'], AMPLIFIER),
      resistor('U1 R1', 'U1 minus', 'low', 1e3),
      resistor('U1 R2', 'U1 minus', 'first', 100e3),
      capacitor('C1', 'in', 'biased', 1e-6),
      resistor('R3', 'biased', 'low', 1e6),
      capacitor('C2', 'first', 'x', 1e-6),
      resistor('R4', 'x', GROUND, 1e6),
      opamp('U2', ['x', 'out', 'out', 'vcc', 'vee'], AMPLIFIER),
    ];
    const { elements, indexOf } = placed(parts);
    const unknown = [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY];
    const [first, second] = outputReach(elements, indexOf('in'), [], NOMINAL_TEMPERATURE_K, unknown);
    expect(first!.swingV).toBeCloseTo(2, 1);
    expect(second!.reachedV).toBeCloseTo(14, 1);
  });

  it('is what the higher of two unlike diodes lets through', () => {
    // Six in series the other way take more than 2 V at any current that 1 kΩ lets through.
    const reachedV = reachOf(...stage('U1', 'x', 'out', 1), resistor('R3', 'in', 'x', 1e3), ...pair(6));
    expect(reachedV).toBeGreaterThan(1.5);
  });
});

describe('the current out of an output', () => {
  const SATURATION_OHMS = 200;
  const data = {
    ...AMPLIFIER,
    underLoad: { saturationOhms: SATURATION_OHMS, sourceLimitA: 20e-3, sinkLimitA: 20e-3 },
  };
  /** A gain of 1 + 900/300, so that its own feedback takes current. */
  const parts = (input: string) => [
    opamp('U1', [input, 'minus', 'out', 'vcc', 'vee'], data),
    resistor('R1', 'minus', GROUND, 300),
    resistor('R2', 'minus', 'out', 900),
  ];

  it('is what feedback and load draw together, by Ohm’s law', () => {
    const divided = [resistor('R3', 'in', 'x', 3e3), resistor('R4', 'x', GROUND, 1e3)];
    const { reachedV, reachedA, takenV } = outputOf(
      ...divided,
      ...parts('x'),
      resistor('RL', 'out', GROUND, 2e3),
    );
    // 0.5 V four times, less what the gain-bandwidth product takes at 300 Hz.
    expect(reachedV).toBeCloseTo(2, 3);
    const amps = reachedV / 1200 + reachedV / 2000;
    expect(reachedA / amps).toBeCloseTo(1, 3);
    expect(takenV / (SATURATION_OHMS * amps)).toBeCloseTo(1, 3);
  });

  it('takes less from the limits where a capacitor draws it, a quarter of a period before', () => {
    const divided = [resistor('R3', 'in', 'x', 3e3), resistor('R4', 'x', GROUND, 1e3)];
    // As much at 3 kHz as the feedback draws.
    const farads = 1 / (2 * Math.PI * 3000 * 1200);
    const { reachedA, takenV } = outputOf(...divided, ...parts('x'), capacitor('CL', 'out', GROUND, farads));
    const feedbackA = 2 / 1200;
    expect(reachedA / (feedbackA * Math.SQRT2)).toBeCloseTo(1, 2);
    const share = SATURATION_OHMS / 1200;
    expect(takenV / (2 * (Math.hypot(1 + share, share) - 1))).toBeCloseTo(1, 2);
  });

  it('is that at the limits where the output clips', () => {
    const { reachedA } = outputOf(
      ...parts('in'),
      resistor('R3', 'x', GROUND, 1e3),
      resistor('R4', 'x', 'in', 1e3),
    );
    // 2 V four times are the 8 V of the swing, less what the gain-bandwidth product takes.
    expect(reachedA).toBeCloseTo(SWING_V / 1200, 5);
    const twice = outputOf(...parts('in'), resistor('R5', 'minus', GROUND, 300));
    expect(twice.reachedV).toBeGreaterThan(1.7 * SWING_V);
    expect(twice.reachedA).toBeLessThan((1.05 * SWING_V) / 900);
  });
});

describe('the supply of an op-amp at rest', () => {
  it('is that between its pins, less the drop of its own current in a resistor', () => {
    const { leastSuppliedV } = loadsOf([
      source('vcc', 9),
      resistor('R1', 'vcc', 'supply', 1e3),
      opamp('U1', ['in', 'out', 'out', 'supply', GROUND], AMPLIFIER),
    ]);
    expect(leastSuppliedV).toBeCloseTo(8, 9);
  });

  it('is that behind a converter', () => {
    const doubler = { ...ofPart('U2'), nodes: ['vcc', 'supply'], ratio: 2, outputOhms: 100 } as const;
    const { leastSuppliedV } = loadsOf([
      source('vcc', 4.5),
      { kind: 'converter', ...doubler },
      opamp('U1', ['in', 'out', 'out', 'supply', GROUND], AMPLIFIER),
    ]);
    expect(leastSuppliedV).toBeCloseTo(9 - 0.1, 9);
  });

  it('is infinite without op-amps', () => {
    expect(loadsOf([resistor('R1', 'in', 'out', 1e3)])).toEqual({
      leastSuppliedV: Number.POSITIVE_INFINITY,
      restsAtLimit: false,
      firstDrive: 0,
      laterDrive: 0,
    });
  });

  it('holds an output at its limit where the input is biased by more than the swing over the gain', () => {
    // 18 V·R4/(R3 + R4) − 9 V, amplified elevenfold, against 8 V.
    const biased = (ohms: number) =>
      loadsOf([
        ...BATTERIES,
        resistor('R3', 'vcc', 'x', 10e3),
        resistor('R4', 'x', 'vee', ohms),
        capacitor('C1', 'in', 'x', 1e-6),
        ...stage('U1', 'x', 'out', 10e3),
      ]).restsAtLimit;
    expect(biased(10e3)).toBe(false);
    expect(biased(11.5e3)).toBe(false);
    expect(biased(12e3)).toBe(true);
    expect(biased(8.7e3)).toBe(false);
    expect(biased(8.3e3)).toBe(true);
  });
});

describe('the steps of a preset', () => {
  it.each(presetNames())('are the same with its knobs anywhere: %s', (name) => {
    const stepsOf = (build: Build) =>
      compileCircuit(networkOf(build, NOMINAL_TEMPERATURE_K), { sampleRateHz: 384e3, interpreted: true })
        .blocks.filter(({ devices }) => devices.length > 0)
        .map(({ substeps }) => substeps);
    const build = presetBuild(name);
    const own = stepsOf(build);
    for (const rotation of [0, 0.5, 1]) {
      const knobs = Object.fromEntries(Object.keys(build.knobs).map((knob) => [knob, rotation]));
      expect(stepsOf({ ...build, knobs })).toEqual(own);
    }
  });
});

describe('the steps of other circuits', () => {
  const networkWith = (...parts: Primitive[]) => network([...BATTERIES, ...parts]);
  const stepsOf = (...parts: Primitive[]) =>
    compileCircuit(networkWith(...parts), { sampleRateHz: 384e3, interpreted: true })
      .blocks.filter(({ devices }) => devices.length > 0)
      .map(({ substeps }) => substeps);
  const clipper = [
    resistor('R3', 'first', 'out', 1e3),
    diode('D1', ['out', GROUND], SILICON),
    diode('D2', [GROUND, 'out'], SILICON),
  ];

  it('are four before diodes where the amplifier is driven fifty times beyond its limits', () => {
    // 2 V times 101 is 25 times its swing, times 401 a hundred times.
    expect(stepsOf(...stage('U1', 'in', 'first', 100e3), ...clipper)).toEqual([1, 2]);
    expect(stepsOf(...stage('U1', 'in', 'first', 400e3), ...clipper)).toEqual([4, 4]);
  });

  it('are four behind an amplifier at its limits where the next one clips twice over', () => {
    const chain = (feedbackOhms: number) =>
      stepsOf(...stage('U1', 'in', 'first', 100e3), ...stage('U2', 'first', 'out', feedbackOhms));
    expect(chain(0.5e3)).toEqual([4, 1]);
    expect(chain(2e3)).toEqual([4, 4]);
  });

  it('read the supply where an output rests at its limit, so that it follows it within a sample', () => {
    const readsSupply = (ohms: number) => {
      const biased = network(
        [
          source('vcc', 9),
          resistor('R5', 'vcc', 'supply', 100),
          capacitor('C5', 'supply', GROUND, 100e-6),
          resistor('R3', 'vcc', 'x', 10e3),
          resistor('R4', 'x', GROUND, ohms),
          capacitor('C1', 'in', 'x', 1e-6),
          opamp('U1', ['x', 'minus', 'out', 'supply', GROUND], AMPLIFIER),
          resistor('R1', 'minus', GROUND, 1e3),
          resistor('R2', 'minus', 'out', 1e3),
        ],
        { rails: ['supply'] },
      );
      const { blocks, nodeNames } = compileCircuit(biased, { sampleRateHz: 384e3, interpreted: true });
      const supply = nodeNames.indexOf('supply');
      return blocks.some(({ inputs, devices }) => devices.length > 0 && inputs.includes(supply));
    };
    // Twice 2.1 V is within the supply, twice 6.75 V is not.
    expect(readsSupply(3e3)).toBe(false);
    expect(readsSupply(30e3)).toBe(true);
  });
});
