import { describe, expect, it } from 'vitest';
import {
  type ClippingLevel,
  clippingLevel,
  clippingLevelOf,
  clippingLevelText,
  clippingOrderV,
} from '../../engine/analysis/clipping-level.ts';
import { type Build, type PartSetting, startingBuild } from '../../engine/builds/build.ts';
import { netsOf } from '../../engine/builds/network-of-build.ts';
import { circuitNets } from '../../engine/circuits/circuit-nets.ts';
import { CIRCUITS } from '../../engine/circuits/circuits.ts';
import type { DiodeData } from '../../engine/devices/diode.ts';
import { GROUND } from '../../engine/devices/node.ts';
import { ofPart } from '../../engine/devices/origin.ts';
import { NOMINAL_TEMPERATURE_K, thermalVoltage } from '../../engine/devices/physics.ts';
import { presetBuild } from '../preset-build.ts';
import { network, resistor } from './small-networks.ts';

const plain = presetBuild('soft-plain');
const clean = presetBuild('clean-plain');
const withParts = (build: Build, parts: Readonly<Record<string, PartSetting>>): Build => ({
  ...build,
  parts: { ...build.parts, ...parts },
});
const levelOf = (build: Build) => clippingLevelOf(build, NOMINAL_TEMPERATURE_K);
/** The input peak, V. */
function fromV(level: ClippingLevel): number {
  if (level.kind !== 'from') throw new Error(`clips ${clippingLevelText(level)}`);
  return level.inputPeakV;
}

/**
 * The gain of a curve without memory for the fundamental of a sine, 1/π·∫ f(A·sin φ)·sin φ dφ / A (describing
 * function).
 */
function describingGain(curve: (volts: number) => number, peakV: number): number {
  const count = 512;
  const phases = Array.from({ length: count }, (_, n) => (2 * Math.PI * (n + 0.5)) / count);
  return (
    (2 / (count * peakV)) * phases.reduce((sum, phi) => sum + curve(peakV * Math.sin(phi)) * Math.sin(phi), 0)
  );
}

/** The amplitude at which that gain is 1 dB below its small-signal value, by bisection, V. */
function compressionPoint(curve: (volts: number) => number, linearGain: number): number {
  const wanted = 10 ** (-1 / 20) * linearGain;
  let [low, high] = [1e-4, 100];
  for (let step = 0; step < 60; step++) {
    const middle = Math.sqrt(low * high);
    if (describingGain(curve, middle) > wanted) low = middle;
    else high = middle;
  }
  return low;
}

const SILICON: DiodeData = {
  saturationCurrentA: 2.52e-9,
  emissionCoefficient: 1.752,
  seriesOhms: 0,
  zeroBiasCapacitanceF: 0,
};
/** 2.2 kΩ, then antiparallel diodes to ground in parallel with 1 MΩ. */
function clipper(data: DiodeData) {
  return network([
    resistor('R1', 'in', 'out', 2200),
    resistor('R2', 'out', GROUND, 1e6),
    { kind: 'diode', ...ofPart('D1'), nodes: ['out', GROUND], count: 1, data },
    { kind: 'diode', ...ofPart('D2'), nodes: [GROUND, 'out'], count: 1, data },
  ]);
}

const linear = network(clipper(SILICON).primitives.slice(0, 2));
const LINEAR_GAIN = 1e6 / 1.0022e6;

/** Its static curve: (v_in − v)/R1 = v/R2 + 2·I_S·sinh(v/(n·V_T)), by bisection. */
function clipperCurve({ saturationCurrentA, emissionCoefficient }: DiodeData): (volts: number) => number {
  const emissionV = emissionCoefficient * thermalVoltage(NOMINAL_TEMPERATURE_K);
  return (volts) => {
    let [low, high] = [-Math.abs(volts), Math.abs(volts)];
    for (let step = 0; step < 60; step++) {
      const v = (low + high) / 2;
      const left = (volts - v) / 2200 - v / 1e6 - 2 * saturationCurrentA * Math.sinh(v / emissionV);
      if (left > 0) low = v;
      else high = v;
    }
    return (low + high) / 2;
  };
}

describe('the level at which a net begins to clip', () => {
  it('is 1.29 times the limit for a hard limiter, by its describing function in closed form', () => {
    // N(A)/k = (2/π)·(asin(δ/A) + (δ/A)·√(1 − (δ/A)²)): Gelb & Vander Velde, Multiple-Input Describing Functions
    // (1968), the limiter. The search that the other tests use must find the same.
    const closed = (ratio: number) =>
      (2 / Math.PI) * (Math.asin(1 / ratio) + (1 / ratio) * Math.sqrt(1 - 1 / ratio ** 2));
    const found = compressionPoint((volts) => Math.max(-1, Math.min(1, volts)), 1);
    expect(20 * Math.log10(closed(found))).toBeCloseTo(-1, 3);
    expect(found).toBeCloseTo(1.29, 1);
  });

  it.each([
    ['silicon', SILICON],
    ['a tenth of its current', { ...SILICON, saturationCurrentA: 2.52e-10 }],
    ['a leaky one', { ...SILICON, saturationCurrentA: 5e-7 }],
  ])('is that of the static curve of a resistor and two diodes: %s', (_, data) => {
    const level = fromV(clippingLevel(clipper(data), 'out', linear));
    // Interpolated between levels 10 % apart: some thousandths.
    expect(Math.abs(level / compressionPoint(clipperCurve(data), LINEAR_GAIN) - 1)).toBeLessThan(0.005);
  });

  it('is below 5 mV if diodes conduct from the start', () => {
    const data = { ...SILICON, saturationCurrentA: 1e-5 };
    // 2.2 kΩ against n·V_T/(2·I_S) = 2.3 kΩ: the diodes take 6 dB already without a signal.
    expect(20 * Math.log10(describingGain(clipperCurve(data), 1e-3) / LINEAR_GAIN)).toBeLessThan(-5);
    expect(clippingLevel(clipper(data), 'out', linear)).toEqual({ kind: 'soft' });
  });

  it('does not exist if nothing clips, and is reported as "no signal" if no signal reaches the net', () => {
    const divider = (ohms: number) =>
      network([resistor('R1', 'in', 'out', ohms), resistor('R2', 'out', GROUND, 1000)]);
    expect(clippingLevel(divider(1000), 'out', divider(1000))).toEqual({ kind: 'none' });
    expect(clippingLevel(divider(1e7), 'out', divider(1e7))).toEqual({ kind: 'silent' });
  });
});

describe('the level at which a build begins to clip', () => {
  it('is measured at a net of the circuit to which its diodes are connected, or the transistor that clips', () => {
    for (const circuit of CIRCUITS.values()) {
      // With the usual jumpers.
      const netOf = netsOf(startingBuild(circuit));
      const pins = [...circuitNets(circuit).netOf.keys()].filter((pin) => netOf(pin) === circuit.clippingNet);
      const clips = circuit.clippingDiodes.length > 0 ? /^D\d+\./ : /^Q\d+\.(collector|drain)$/;
      expect(
        pins.some((pin) => clips.test(pin)),
        circuit.id,
      ).toBe(true);
    }
  });

  it('is lower for germanium than for silicon, and lower for silicon than for a LED, whatever follows the clipping stage', () => {
    for (const build of [plain, clean]) {
      const [germanium, silicon, led] = ['1N34A', '1N4148', 'LED-red'].map((type) => {
        const diodes = Object.keys(build.parts).filter((ref) => /^D[123]$/.test(ref));
        return withParts(build, Object.fromEntries(diodes.map((ref) => [ref, { type }])));
      });
      const order = [germanium, silicon, led].map((each) => clippingOrderV(levelOf(each!)));
      expect(order[0], build.circuit.id).toBeLessThan(order[1]!);
      expect(order[1], build.circuit.id).toBeLessThan(order[2]!);
    }
    const [up, down] = [1, 0].map((end) => ({ ...plain, knobs: { ...plain.knobs, tone: end, output: end } }));
    // The op-amp's output has no resistance. The current of the tone control moves the bias, where R4 ends: 6 %.
    expect(Math.abs(fromV(levelOf(up!)) / fromV(levelOf(down!)) - 1)).toBeLessThan(0.1);
  });

  it('is the op-amp’s own limit if the diodes are removed or lifted', () => {
    const open = { fit: 'open', type: '1N4148' } as const;
    const [left, lifted] = [
      withParts(plain, { D1: open, D2: open, D3: open }),
      { ...plain, switches: { ...plain.switches, clipping: 'lifted' } },
    ].map((each) => fromV(levelOf(each)));
    expect(left! / lifted!).toBeCloseTo(1, 2);
    expect(left!).toBeGreaterThan(2 * fromV(levelOf(plain)));
    const silicon = presetBuild('clean-silicon');
    const without = withParts(silicon, { D1: open, D2: open });
    expect(fromV(levelOf(without))).toBeGreaterThan(2 * fromV(levelOf(silicon)));
  });

  it('is "no signal" if the clipped path is open, or connected to the bias', () => {
    expect(levelOf(withParts(clean, { C6: { value: '1u', fit: 'open' } }))).toEqual({ kind: 'silent' });
    expect(levelOf(withParts(clean, { D1: { type: '1N34A', fit: 'bridged' } }))).toEqual({ kind: 'silent' });
  });

  it('falls when the gain knob is turned up', () => {
    const at = (gain: number) => fromV(levelOf({ ...plain, knobs: { ...plain.knobs, gain } }));
    expect(at(0)).toBeGreaterThan(at(0.5));
  });
});

it.each([
  [{ kind: 'from', inputPeakV: 0.01152 }, '11.5 mV'],
  [{ kind: 'soft' }, 'soft from the start'],
  [{ kind: 'none' }, 'not up to 10 V'],
  [{ kind: 'silent' }, 'no signal'],
] as const)('%o reads "%s"', (level, text) => {
  expect(clippingLevelText(level)).toBe(text);
});
