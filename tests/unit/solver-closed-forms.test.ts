import { describe, expect, it } from 'vitest';
import { FrequencyResponse } from '../../engine/analysis/frequency-response.ts';
import { GROUND } from '../../engine/devices/node.ts';
import type { OpampData } from '../../engine/devices/opamp-data.ts';
import { ofPart } from '../../engine/devices/origin.ts';
import { thermalVoltage } from '../../engine/devices/physics.ts';
import type { Network, Primitive } from '../../engine/network/network.ts';
import { CircuitSimulator } from '../../engine/solver/circuit-simulator.ts';
import { compileCircuit } from '../../engine/solver/compile.ts';
import { operatingPoint } from '../../engine/solver/operating-point.ts';
import { loadDiodeClipperVectors } from '../reference/vectors.ts';

const TEMPERATURE_K = 300.15;
const VT = thermalVoltage(TEMPERATURE_K);

function network(primitives: readonly Primitive[], output = 'out'): Network {
  return { input: 'in', output, rails: [], temperatureK: TEMPERATURE_K, primitives };
}
const resistor = (ref: string, a: string, b: string, ohms: number): Primitive => ({
  kind: 'resistor',
  ...ofPart(ref),
  nodes: [a, b],
  ohms,
});
const capacitor = (ref: string, a: string, b: string, farads: number): Primitive => ({
  kind: 'capacitor',
  ...ofPart(ref),
  nodes: [a, b],
  farads,
});
const source = (node: string, volts: number): Primitive => ({
  kind: 'voltageSource',
  ...ofPart(`V ${node}`),
  nodes: [node, GROUND],
  volts,
});

/** Output for an input given at each time, at rest before. */
function solve(
  circuit: Network,
  sampleRateHz: number,
  input: readonly number[] | Float64Array,
): Float64Array {
  const simulator = new CircuitSimulator(compileCircuit(circuit, { sampleRateHz }));
  const output = new Float64Array(input.length);
  simulator.process(Float64Array.from(input), output, input.length);
  expect(simulator.failures).toBe(0);
  return output;
}
const restOf = (circuit: Network, node: string) => operatingPoint(circuit).volts.get(node)!;

describe('linear circuits', () => {
  // Cutoff frequencies from f = 1/(2πRC).
  it.each([
    [4.7e3, 47e-9, 720.484],
    [500e3, 51e-12, 6241.37],
    [1e3, 220e-9, 723.432],
  ])('of %d ohm and %d F have their corner at %d Hz', (ohms, farads, hz) => {
    const response = new FrequencyResponse(
      network([resistor('R1', 'in', 'out', ohms), capacitor('C1', 'out', GROUND, farads)]),
    );
    const { decibels, phaseDegrees } = response.at(hz, 'out');
    expect(decibels).toBeCloseTo(-10 * Math.log10(2), 5);
    expect(phaseDegrees).toBeCloseTo(-45, 3);
  });

  it('of R and C respond to a ramp with t − τ·(1 − e^(−t/τ)), with an error of second order in the step', () => {
    const tau = 1e-4;
    const circuit = network([resistor('R1', 'in', 'out', 1e4), capacitor('C1', 'out', GROUND, 1e-8)]);
    const errors = [192e3, 384e3].map((rate) => {
      const input = Array.from({ length: rate / 1000 }, (_, n) => n / rate);
      const output = solve(circuit, rate, input);
      return Math.max(
        ...output.map((volts, n) => Math.abs(volts - (n / rate - tau * (1 - Math.exp(-n / rate / tau))))),
      );
    });
    // Third order except for the kink at time zero, which is of second order: 2e-9 V at 192 kHz, a quarter at twice
    // that rate.
    expect(errors[0]).toBeLessThan(1e-7);
    expect(errors[0]! / errors[1]!).toBeGreaterThan(3.7);
    expect(errors[0]! / errors[1]!).toBeLessThan(4.3);
  });

  it('of R, L and C ring at their resonance with their damping', () => {
    // R 100, L 10 mH, C 100 nF: ω0 = 1/√(LC) = 31623 rad/s, Q = √(L/C)/R = 3.162; at ω0 the capacitor has Q times the input.
    const circuit = network([
      resistor('R1', 'in', 'a', 100),
      { kind: 'inductor', ...ofPart('L1'), nodes: ['a', 'out'], henries: 10e-3 },
      capacitor('C1', 'out', GROUND, 100e-9),
    ]);
    const hz = 1 / (2 * Math.PI * Math.sqrt(10e-3 * 100e-9));
    const { decibels, phaseDegrees } = new FrequencyResponse(circuit).at(hz, 'out');
    expect(decibels).toBeCloseTo(20 * Math.log10(Math.sqrt(10e-3 / 100e-9) / 100), 6);
    expect(phaseDegrees).toBeCloseTo(-90, 6);
    const rate = 768e3;
    const output = solve(
      circuit,
      rate,
      Array.from({ length: 6000 }, (_, n) => Math.sin((2 * Math.PI * hz * n) / rate)),
    );
    const peak = output.subarray(4000).reduce((most, volts) => Math.max(most, Math.abs(volts)), 0);
    // 150 samples a period: the peak is found to a thousandth, and the difference formula is off by 2e-5.
    expect(peak / Math.sqrt(10)).toBeCloseTo(1, 2);
  });
});

describe('the worked diode clipper', () => {
  // Yeh, Abel & Smith, DAFx-07 and CMJ 32(2) 2008; figures solved with SciPy.
  const vectors = loadDiodeClipperVectors();
  const data = {
    saturationCurrentA: vectors.saturationCurrentA,
    emissionCoefficient: vectors.emissionTimesThermalVoltageV / VT,
    seriesOhms: 0,
    zeroBiasCapacitanceF: 0,
  };
  const clipper = network([
    resistor('R1', 'in', 'out', vectors.ohms),
    capacitor('C1', 'out', GROUND, vectors.farads),
    { kind: 'diode', ...ofPart('D1'), nodes: ['out', GROUND], count: 1, data },
    { kind: 'diode', ...ofPart('D2'), nodes: [GROUND, 'out'], count: 1, data },
  ]);

  it.each(vectors.static.map(({ inputV, outputV }) => [inputV, outputV]))(
    'has its static value for %d V at rest',
    (inputV, outputV) => {
      const fixed = network([
        source('s', inputV!),
        ...clipper.primitives.map((p) => (p.ref === 'R1' ? resistor('R1', 's', 'out', vectors.ohms) : p)),
        resistor('RL', 'in', GROUND, 1e6),
      ]);
      // The engine's junctions have a leakage of 1e-12 S each: 1e-9 of the current here.
      expect(restOf(fixed, 'out')).toBeCloseTo(outputV!, 8);
    },
  );

  it('has the steady peaks, RMS and harmonics of the table', () => {
    for (const {
      peakV,
      frequencyHz,
      outputPeakV,
      outputRmsV,
      harmonicsDbc,
      thdOfFundamental,
    } of vectors.sines) {
      const perPeriod = 16 * Math.round(48e3 / frequencyHz / 2) * 2;
      const rate = perPeriod * frequencyHz;
      const periods = Math.max(4, Math.ceil(0.004 * frequencyHz));
      const input = Float64Array.from(
        { length: periods * perPeriod },
        (_, n) => peakV * Math.sin((2 * Math.PI * n) / perPeriod),
      );
      const settled = solve(clipper, rate, input).subarray((periods - 1) * perPeriod);
      const amplitude = (harmonic: number) => {
        let re = 0;
        let im = 0;
        settled.forEach((volts, n) => {
          re += volts * Math.cos((2 * Math.PI * harmonic * n) / perPeriod);
          im += volts * Math.sin((2 * Math.PI * harmonic * n) / perPeriod);
        });
        return (2 * Math.hypot(re, im)) / perPeriod;
      };
      const name = `${peakV} V ${frequencyHz} Hz`;
      const rms = Math.sqrt(settled.reduce((sum, volts) => sum + volts * volts, 0) / perPeriod);
      expect(
        settled.reduce((most, volts) => Math.max(most, volts), 0),
        name,
      ).toBeCloseTo(outputPeakV, 4);
      expect(rms, name).toBeCloseTo(outputRmsV, 3);
      const relative = (harmonic: number) => 20 * Math.log10(amplitude(harmonic) / amplitude(1));
      // Second order in a step of a sixteenth of 48 kHz leaves about −100 dB of the fundamental.
      expect(relative(3), name).toBeCloseTo(harmonicsDbc.h3, peakV < 1 ? 0 : 2);
      if (peakV >= 1) expect(relative(5), name).toBeCloseTo(harmonicsDbc.h5, 1);
      if (peakV >= 1) expect(relative(7), name).toBeCloseTo(harmonicsDbc.h7, 1);
      const harmonics = [3, 5, 7, 9, 11, 13, 15, 17, 19].map(amplitude);
      expect(Math.hypot(...harmonics) / amplitude(1), name).toBeCloseTo(thdOfFundamental, 2);
    }
  });
});

describe('transistor stages at rest', () => {
  const bjt = { saturationCurrentA: 1e-14, forwardBeta: 200, reverseBeta: 2, earlyV: 100 };
  const follower = (kind: 'npn' | 'pnp', supplyV: number): Network =>
    network([
      source('vcc', supplyV),
      source('vb', supplyV / 2),
      resistor('RB', 'vb', 'b', 1e4),
      resistor('RE', 'out', GROUND, 1e4),
      resistor('RI', 'in', GROUND, 1e6),
      { kind, ...ofPart('Q1'), nodes: ['vcc', 'b', 'out'], data: bjt },
    ]);

  it('an emitter follower obeys the Ebers-Moll equations', () => {
    const { volts } = operatingPoint(follower('npn', 9));
    const [base, emitter] = [volts.get('b')!, volts.get('out')!];
    const forward = 1e-14 * Math.expm1((base - emitter) / VT);
    const collectorA = forward * (1 - (base - 9) / 100) + 1e-14 / 2;
    const baseA = forward / 200 - 1e-14 / 2;
    expect((4.5 - base) / 1e4).toBeCloseTo(baseA, 12);
    expect(emitter / 1e4).toBeCloseTo(collectorA + baseA, 9);
  });

  it('a PNP is an NPN with opposite signs', () => {
    for (const node of ['b', 'out'])
      expect(restOf(follower('pnp', -9), node)).toBeCloseTo(-restOf(follower('npn', 9), node), 9);
  });

  it('a JFET with a source resistor obeys the square law', () => {
    // i = β·(−i·R − Vto)² with λ = 0: R²β·i² + (2RβVto − 1)·i + βVto² = 0, the smaller root.
    const [beta, thresholdV, ohms] = [1.125e-3, -1.372, 1e3];
    const a = ohms * ohms * beta;
    const b = 2 * ohms * beta * thresholdV - 1;
    const amps = (-b - Math.sqrt(b * b - 4 * a * beta * thresholdV * thresholdV)) / (2 * a);
    const circuit = network([
      source('vdd', 9),
      resistor('RG', 'in', 'g', 1e3),
      resistor('RS', 'out', GROUND, ohms),
      {
        kind: 'nJfet',
        ...ofPart('Q1'),
        nodes: ['vdd', 'g', 'out'],
        data: { betaAPerV2: beta, thresholdV, lambdaPerV: 0, gateSaturationCurrentA: 1e-14 },
      },
    ]);
    expect(restOf(circuit, 'out')).toBeCloseTo(amps * ohms, 7);
  });

  it('a MOSFET with its gate connected to its drain conducts β·(v − Vto)²', () => {
    const circuit = network([
      source('vdd', 9),
      resistor('RD', 'vdd', 'out', 1e3),
      resistor('RI', 'in', GROUND, 1e6),
      {
        kind: 'nMosfet',
        ...ofPart('Q1'),
        nodes: ['out', 'out', GROUND],
        data: { betaAPerV2: 0.085, thresholdV: 1.6, lambdaPerV: 0, gateSaturationCurrentA: 0 },
      },
    ]);
    const v = restOf(circuit, 'out');
    expect((9 - v) / 1e3).toBeCloseTo(0.085 * (v - 1.6) ** 2, 9);
  });
});

describe('an op-amp', () => {
  const data: OpampData = {
    gainBandwidthHz: 1e6,
    slewVPerS: 0.5e6,
    openLoopGain: 2e5,
    headroomHighV: 1,
    headroomLowV: 1,
    inputBiasA: 0,
    quiescentA: 0,
  };
  const amplifier = (feedbackOhms: number): Network =>
    network([
      source('vp', 15),
      source('vn', -15),
      resistor('R1', 'm', GROUND, 1e3),
      resistor('R2', 'm', 'out', feedbackOhms),
      resistor('RL', 'out', GROUND, 1e4),
      { kind: 'opamp', ...ofPart('U1'), nodes: ['in', 'm', 'out', 'vp', 'vn'], data },
    ]);

  it('has the gain of its feedback, and −3 dB where the gain-bandwidth product is used up', () => {
    const response = new FrequencyResponse(amplifier(9e3));
    const gain = 1 / (1 / 10 + 1 / 2e5);
    expect(response.at(1, 'out').decibels).toBeCloseTo(20 * Math.log10(gain), 3);
    expect(response.at(1e5, 'out').decibels).toBeCloseTo(20 * Math.log10(gain) - 10 * Math.log10(2), 2);
  });

  it('rises no faster than its slew rate', () => {
    const rate = 768e3;
    const output = solve(amplifier(9e3), rate, new Float64Array(24).fill(1));
    const rises = Array.from({ length: 6 }, (_, n) => (output[n + 4]! - output[n + 3]!) * rate);
    // s(u) = u/√(1 + u²) at w·vd/S = 12.6 is 0.997 of the slew rate, 0.980 where 0.39 V of the step is left.
    for (const rise of rises) expect(rise / 0.5e6).toBeGreaterThan(0.979);
    // A hundredth more while the difference formula still uses the samples before the step.
    for (const rise of rises) expect(rise / 0.5e6).toBeLessThan(1.015);
    for (const rise of rises.slice(3)) expect(rise / 0.5e6).toBeLessThan(1);
  });

  it('distorts a full-power sine above S/(2π·Vp)', () => {
    // Slew rate over 2π·peak: 0.5 V/µs and 4 V peak, 19.89 kHz.
    const fullPowerHz = 0.5e6 / (2 * Math.PI * 4);
    expect(fullPowerHz).toBeCloseTo(19.89e3, -1);
    const rate = 768e3;
    const peakAt = (hz: number) => {
      const input = Float64Array.from(
        { length: 4096 },
        (_, n) => 4 * Math.sin((2 * Math.PI * hz * n) / rate),
      );
      const follower = network([
        source('vp', 15),
        source('vn', -15),
        resistor('RL', 'out', GROUND, 1e4),
        { kind: 'opamp', ...ofPart('U1'), nodes: ['in', 'out', 'out', 'vp', 'vn'], data },
      ]);
      return solve(follower, rate, input)
        .subarray(2048)
        .reduce((most, volts) => Math.max(most, Math.abs(volts)), 0);
    };
    expect(peakAt(fullPowerHz / 4)).toBeGreaterThan(3.97);
    // Far above it the output is a triangle of slope S: peak S/(4f), here 3.14 V and 2.09 V, with rounded corners.
    expect(peakAt(fullPowerHz * 2)).toBeLessThan(0.5e6 / (8 * fullPowerHz));
    expect(peakAt(fullPowerHz * 3) / (0.5e6 / (12 * fullPowerHz))).toBeCloseTo(1, 1);
  });

  it('stops within a fifth of a volt beyond its headroom', () => {
    const output = solve(amplifier(99e3), 384e3, new Float64Array(20_000).fill(1));
    expect(output.at(-1)).toBeGreaterThan(14);
    expect(output.at(-1)).toBeLessThan(14.2);
  });
});
