import { readFileSync } from 'node:fs';
import { describe, expect, it, vi } from 'vitest';
import { parseBuildFile } from '../../engine/builds/build-file.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { GROUND } from '../../engine/devices/node.ts';
import { thermalVoltage } from '../../engine/devices/physics.ts';
import type { Network, Primitive } from '../../engine/network/network.ts';
import { pruneNetwork } from '../../engine/network/prune.ts';
import { kelvinOf } from '../../engine/network/temperature.ts';
import { OperatingPointError, operatingPoint } from '../../engine/solver/operating-point.ts';
import { SparseEquations } from '../../engine/solver/sparse-equations.ts';
import { presetBuild } from '../preset-build.ts';
import { randomNetwork } from './random-network.ts';
import { capacitor, diode, fieldEffect, network, opamp, resistor, source } from './small-networks.ts';

/**
 * Networks for which earlier solvers found no operating point: a transistor driven hard in reverse, a germanium
 * junction that a capacitor drives at switch-on, a gate held far above its channel.
 */
const HARD = [
  ...[178, 2553, 4361, 4424, 4824, 5746, 5831, 7099, 8031, 8774, 9065, 9203, 9557, 12002, 12578],
  ...[12669, 13477, 14396, 14998, 32645],
];
const SILICON = {
  saturationCurrentA: 2.52e-9,
  emissionCoefficient: 1.752,
  seriesOhms: 0.568,
  zeroBiasCapacitanceF: 0,
};
const THERMAL_V = thermalVoltage(300.15);
/** As network.ts has it. */
const JUNCTION_MIN_S = 1e-12;

describe('the operating point of a network that is hard to start', () => {
  it.each(HARD)('obeys Kirchhoff’s current law with independently written devices: %i', (seed) => {
    const circuit = pruneNetwork(randomNetwork(seed));
    const { volts } = operatingPoint(circuit);
    const { sums, largest } = currentsInto(circuit, (node) => (node === GROUND ? 0 : volts.get(node)!));
    // Voltages are solved to 1e-9 V at worst; a coil of 100 Ω acts as a resistor, and the steepest junction has some
    // siemens.
    for (const [node, amps] of sums) expect(Math.abs(amps), node).toBeLessThan(1e-9 + 1e-8 * largest);
  });

  it('is found for a random build at 60 °C', () => {
    const file = new URL('../fixtures/hard-to-rest.json', import.meta.url);
    const { volts } = operatingPoint(networkOf(parseBuildFile(readFileSync(file, 'utf8')), kelvinOf(60)));
    // From tests/reference/netlist-solver, which shares no code with the engine.
    expect(volts.get('bias')).toBeCloseTo(7.274903825, 8);
    expect(volts.get('supply')).toBeCloseTo(8.875770418, 8);
  });

  it('obeys the exponential of a white LED in the cold, whose saturation current is tiny', () => {
    const led = {
      saturationCurrentA: 1e-31,
      emissionCoefficient: 2,
      seriesOhms: 12,
      zeroBiasCapacitanceF: 0,
    };
    const circuit = network([
      source('vcc', 9),
      resistor('R1', 'vcc', 'out', 220),
      diode('D1', ['out', GROUND], led),
    ]);
    const volts = operatingPoint(circuit).volts.get('out')!;
    const amps = (9 - volts) / 220;
    // Shockley's equation, solved for the voltage.
    const junctionV = 2 * THERMAL_V * Math.log(amps / led.saturationCurrentA + 1);
    expect(amps).toBeGreaterThan(0.02);
    expect(volts).toBeCloseTo(junctionV + 12 * amps, 6);
  });

  it('leaves a drain behind a cut-off channel one threshold above the gate', () => {
    const jfet = { betaAPerV2: 1.1e-3, thresholdV: -1.4, lambdaPerV: 0, gateSaturationCurrentA: 1e-14 };
    const circuit = network([
      source('vcc', 9),
      resistor('R1', 'gate', 'vcc', 200e3),
      resistor('R2', 'gate', GROUND, 400e3),
      fieldEffect('nJfet', 'Q1', ['out', 'gate', 'vcc'], jfet),
      capacitor('C1', 'out', GROUND, 1e-7),
    ]);
    const { volts } = operatingPoint(circuit);
    // The gate is at 6 V; the drain, here the channel's source, delivers only the 1e-14 A of its junction.
    expect(volts.get('gate')).toBeCloseTo(6, 6);
    expect(volts.get('out')).toBeCloseTo(6 + 1.4 - Math.sqrt(1e-14 / 1.1e-3), 7);
  });

  it('is the supply voltage everywhere where no current flows', () => {
    const germanium = {
      saturationCurrentA: 2.6e-6,
      emissionCoefficient: 1.6,
      seriesOhms: 6.5,
      zeroBiasCapacitanceF: 0,
    };
    const circuit = network([
      source('vcc', 9),
      diode('D1', ['vcc', 'b'], germanium),
      capacitor('C1', 'b', 'in', 2e-7),
      resistor('R1', 'b', 'out', 100),
      capacitor('C2', 'out', GROUND, 1e-8),
    ]);
    const { volts } = operatingPoint(circuit);
    for (const node of ['b', 'out']) expect(volts.get(node)).toBeCloseTo(9, 9);
  });
});

describe('the operating point after a knob has turned', () => {
  const turned = (name: 'soft-lifted' | 'clean-plain', gain: number) => {
    const build = presetBuild(name);
    return pruneNetwork(networkOf({ ...build, knobs: { ...build.knobs, gain } }, 300.15));
  };

  it('is that which is found from nothing, with the elimination order of the one before', () => {
    const plans = vi.spyOn(SparseEquations.prototype, 'plan');
    let near = operatingPoint(turned('clean-plain', 0.3));
    for (const gain of [0.35, 0.6, 0.9]) {
      plans.mockClear();
      near = operatingPoint(turned('clean-plain', gain), near);
      expect(plans).not.toHaveBeenCalled();
      const { volts } = operatingPoint(turned('clean-plain', gain));
      for (const [node, expected] of volts) expect(near.volts.get(node), node).toBeCloseTo(expected, 9);
    }
    vi.restoreAllMocks();
  });

  it('is found anew for another structure', () => {
    const near = operatingPoint(turned('soft-lifted', 0.5));
    const { volts } = operatingPoint(turned('clean-plain', 0.5), near);
    const expected = operatingPoint(turned('clean-plain', 0.5)).volts;
    for (const [node, own] of volts) expect(own, node).toBeCloseTo(expected.get(node)!, 9);
  });
});

describe('a circuit without an operating point', () => {
  const data = {
    gainBandwidthHz: 3e6,
    slewVPerS: 1.7e6,
    openLoopGain: 1e5,
    headroomHighV: 2,
    headroomLowV: 2,
    inputBiasA: 0,
    quiescentA: 1e-3,
  };

  it('is refused because of the op-amp without enough supply', () => {
    const circuit = network([
      source('vcc', 9),
      resistor('R1', 'vcc', 'supply', 1e6),
      capacitor('C1', 'supply', GROUND, 1e-5),
      opamp('U1', ['in', 'out', 'out', 'supply', GROUND], data),
      resistor('R2', 'out', 'supply', 1e4),
    ]);
    expect(() => operatingPoint(circuit)).toThrow(OperatingPointError);
    expect(() => operatingPoint(circuit)).toThrow(
      /^U1 is starved: .* between its supply pins, and it needs 4.0 V\./,
    );
  });

  it('is refused because of the op-amp without enough supply, also where another net has an impossible voltage', () => {
    const circuit = network([
      source('vcc', 9),
      resistor('R1', 'vcc', 'supply', 1e6),
      opamp('U1', ['in', 'minus', 'out', 'supply', GROUND], { ...data, inputBiasA: 100e-9 }),
      resistor('R2', 'out', GROUND, 1e4),
      // 100 nA through the 1e-12 S of a blocking junction gives 1e5 V.
      diode('D1', ['minus', GROUND], SILICON),
    ]);
    expect(() => operatingPoint(circuit)).toThrow(/^U1 is starved/);
  });
});

/** Sum of the currents out of every node that is not fixed by a source, and the largest single current, A. */
function currentsInto({ primitives, input }: Network, at: (node: string) => number) {
  const sums = new Map<string, number>();
  let largest = 0;
  const add = (node: string, amps: number) => {
    sums.set(node, (sums.get(node) ?? 0) + amps);
    largest = Math.max(largest, Math.abs(amps));
  };
  const through = (from: string, to: string, amps: number) => {
    add(from, amps);
    add(to, -amps);
  };
  for (const primitive of primitives) dcCurrents(primitive, at, add, through);
  const coils = primitives.filter(({ kind }) => kind === 'inductor');
  for (const { nodes } of coils) {
    // A coil carries the current that its winding resistance, alone at its second end, delivers; it drops no voltage.
    through(nodes[1]!, nodes[0], -sums.get(nodes[1]!)!);
    expect(Math.abs(at(nodes[0]) - at(nodes[1]!))).toBeLessThan(1e-6);
  }
  const held = primitives.flatMap(({ kind, nodes }) => {
    if (kind === 'voltageSource') return [nodes[0]];
    return kind === 'opamp' ? [nodes[2]!] : [];
  });
  for (const node of [GROUND, input, ...held]) sums.delete(node);
  return { sums, largest };
}

function dcCurrents(
  primitive: Primitive,
  at: (node: string) => number,
  add: (node: string, amps: number) => void,
  through: (from: string, to: string, amps: number) => void,
): void {
  const [a, b, c = GROUND] = primitive.nodes as readonly [string, string, string?];
  switch (primitive.kind) {
    case 'resistor':
      through(a, b, (at(a) - at(b)) / primitive.ohms);
      return;
    case 'diode':
      through(a, b, diodeAmps(primitive.data, primitive.count, at(a) - at(b)));
      return;
    case 'opamp':
      for (const input of [a, b]) add(input, primitive.data.inputBiasA);
      return;
    case 'npn':
    case 'pnp': {
      const sign = primitive.kind === 'npn' ? 1 : -1;
      const { saturationCurrentA, forwardBeta, reverseBeta, earlyV } = primitive.data;
      const [vBE, vBC] = [sign * (at(b) - at(c)), sign * (at(b) - at(a))];
      const forward = saturationCurrentA * Math.expm1(vBE / THERMAL_V);
      const reverse = saturationCurrentA * Math.expm1(vBC / THERMAL_V);
      const collector = (forward - reverse) * (1 - vBC / earlyV) - reverse / reverseBeta;
      const base = forward / forwardBeta + reverse / reverseBeta;
      add(a, sign * collector);
      add(b, sign * base);
      add(c, -sign * (collector + base));
      return;
    }
    case 'nJfet':
    case 'pJfet':
    case 'nMosfet': {
      const sign = primitive.kind === 'pJfet' ? -1 : 1;
      const { betaAPerV2, thresholdV, lambdaPerV, gateSaturationCurrentA } = primitive.data;
      const [drain, from] = sign * at(a) >= sign * at(c) ? [a, c] : [c, a];
      const span = sign * (at(drain) - at(from));
      const drive = Math.max(sign * (at(b) - at(from)) - thresholdV, 0);
      const square = span >= drive ? drive * drive : span * (2 * drive - span);
      through(drain, from, sign * betaAPerV2 * (1 + lambdaPerV * span) * square);
      for (const end of [a, c])
        through(b, end, sign * gateSaturationCurrentA * Math.expm1((sign * (at(b) - at(end))) / THERMAL_V));
    }
  }
}

/** Current of a string by bisection of v = vj + count·R·i(vj). */
function diodeAmps(
  data: Extract<Primitive, { kind: 'diode' }>['data'],
  count: number,
  volts: number,
): number {
  const nVt = count * data.emissionCoefficient * THERMAL_V;
  const amps = (vj: number) => data.saturationCurrentA * Math.expm1(vj / nVt) + JUNCTION_MIN_S * vj;
  let [low, high] = [Math.min(volts, 0), Math.max(volts, 0)];
  for (let k = 0; k < 200; k++) {
    const vj = 0.5 * (low + high);
    if (vj + count * data.seriesOhms * amps(vj) > volts) high = vj;
    else low = vj;
  }
  // Where the resistance has most of the drop, the junction's own voltage gives the current less exactly.
  const vj = 0.5 * (low + high);
  return Math.abs(volts - vj) > 0.01 ? (volts - vj) / (count * data.seriesOhms) : amps(vj);
}
