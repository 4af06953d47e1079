import { describe, expect, it } from 'vitest';
import { FrequencyResponse } from '../../engine/analysis/frequency-response.ts';
import { voltageChart } from '../../engine/analysis/voltage-chart.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { GROUND } from '../../engine/devices/node.ts';
import type { OpampData } from '../../engine/devices/opamp-data.ts';
import { ofPart } from '../../engine/devices/origin.ts';
import { NOMINAL_TEMPERATURE_K, thermalVoltage } from '../../engine/devices/physics.ts';
import type { Network } from '../../engine/network/network.ts';
import { CircuitSimulator } from '../../engine/solver/circuit-simulator.ts';
import { compileCircuit } from '../../engine/solver/compile.ts';
import { operatingPoint } from '../../engine/solver/operating-point.ts';
import { presetBuild } from '../preset-build.ts';
import { loadDiodeClipperVectors } from '../reference/vectors.ts';
import {
  capacitor,
  differenceOf,
  diode,
  inductor,
  network,
  opamp,
  peakOf,
  resistor,
  run,
  sine,
  source,
} from './small-networks.ts';

const TAU = 2 * Math.PI;
const FOLLOWER: OpampData = {
  gainBandwidthHz: 10e6,
  slewVPerS: 10e6,
  openLoopGain: 1e6,
  headroomHighV: 1,
  headroomLowV: 1,
  inputBiasA: 0,
  quiescentA: 2e-3,
};

/**
 * A step of 1 V at time zero with its first sample at one half: the backward differences treat this as a step there.
 */
function unitStep(length: number): Float64Array {
  return new Float64Array(length).fill(1).fill(0.5, 0, 1);
}
/**
 * The difference formula's own response to a step falls by a factor of 0.43 each sample (the modulus of the other two
 * roots of 11/6·z³ − 3·z² + 3/2·z − 1/3), to 4e-8 in twenty samples at 96 kHz.
 */
const DIED_AFTER_SECONDS = 20 / 96e3;
/** Largest error of the step response from then on, V. */
function stepError(circuit: Network, rateHz: number, seconds: number, exact: (t: number) => number): number {
  const length = Math.round(rateHz * seconds) + 1;
  const { output } = run(circuit, rateHz, unitStep(length));
  return output.reduce(
    (most, volts, n) =>
      Math.max(most, n / rateHz < DIED_AFTER_SECONDS ? 0 : Math.abs(volts - exact(n / rateHz))),
    0,
  );
}
/** Checks that the error is small at one rate, and falls by more than half (first order) at twice the rate. */
function expectHighOrder(error: (rateHz: number) => number, rateHz: number, limitV: number): void {
  const [coarse, fine] = [error(rateHz), error(2 * rateHz)];
  expect(coarse).toBeLessThan(limitV);
  // Second order for the kink, third order after it; the largest error is at another time.
  expect(coarse / fine).toBeGreaterThan(3);
}

describe('step responses', () => {
  it('of R and C is 1 − e^(−t/RC)', () => {
    const circuit = network([resistor('R1', 'in', 'out', 4.7e3), capacitor('C1', 'out', GROUND, 47e-9)]);
    const tau = 4.7e3 * 47e-9;
    const exact = (t: number) => -Math.expm1(-t / tau);
    // A step spread over two samples has an error of (T/τ)²/12 of the remaining change: 1.9e-4·e^(−0.94).
    expectHighOrder((rate) => stepError(circuit, rate, 1e-3, exact), 96e3, 1e-4);
  });

  it('of L and R is 1 − e^(−tR/L), in both directions of the coil', () => {
    for (const [a, b] of [
      ['in', 'out'],
      ['out', 'in'],
    ] as const) {
      const circuit = network([inductor('L1', a, b, 0.1), resistor('R1', 'out', GROUND, 1e3)]);
      const exact = (t: number) => -Math.expm1((-t * 1e3) / 0.1);
      // As before, (T/τ)²/12 is 2.3e-4, and e^(−2.1) of it remains.
      expectHighOrder((rate) => stepError(circuit, rate, 1e-3, exact), 192e3, 5e-5);
    }
  });

  it('of R, L and C rings with its damping', () => {
    // ω0 = 1/√(LC), δ = R/(2L): y = 1 − e^(−δt)·(cos ωt + δ/ω·sin ωt), ω² = ω0² − δ².
    const [ohms, henries, farads] = [100, 10e-3, 100e-9];
    const circuit = network([
      resistor('R1', 'in', 'a', ohms),
      inductor('L1', 'a', 'out', henries),
      capacitor('C1', 'out', GROUND, farads),
    ]);
    const delta = ohms / (2 * henries);
    const omega = Math.sqrt(1 / (henries * farads) - delta * delta);
    const exact = (t: number) =>
      1 - Math.exp(-delta * t) * (Math.cos(omega * t) + (delta / omega) * Math.sin(omega * t));
    expectHighOrder((rate) => stepError(circuit, rate, 1e-3, exact), 384e3, 5e-3);
  });

  it('of the diode clipper has the values of the published table', () => {
    // Solved with SciPy: 5 to 100 µs.
    const vectors = loadDiodeClipperVectors();
    const data = {
      saturationCurrentA: vectors.saturationCurrentA,
      emissionCoefficient: vectors.emissionTimesThermalVoltageV / thermalVoltage(300.15),
      seriesOhms: 0,
      zeroBiasCapacitanceF: 0,
    };
    const clipper = network([
      resistor('R1', 'in', 'out', vectors.ohms),
      capacitor('C1', 'out', GROUND, vectors.farads),
      diode('D1', ['out', GROUND], data),
      diode('D2', [GROUND, 'out'], data),
    ]);
    const error = (rateHz: number) => {
      const { output } = run(clipper, rateHz, unitStep(rateHz * 1e-4 + 1));
      return vectors.step.map(({ seconds, outputV }) =>
        Math.abs(output[Math.round(seconds * rateHz)]! - outputV),
      );
    };
    const [coarse, fine] = [error(1.6e6), error(3.2e6)];
    // The clipper's own time constant is 2 µs at its bend: a step of 0.3 µs leaves an error of some 1e-4 of 0.5 V
    // there.
    for (const volts of fine) expect(volts).toBeLessThan(5e-5);
    expect(Math.max(...coarse) / Math.max(...fine)).toBeGreaterThan(3.5);
    // After settling, only the minimum conductance of 1e-12 S differs.
    expect(fine.at(-1)).toBeLessThan(1e-8);
  });
});

describe('inductors', () => {
  const corner = (circuit: Network, hz: number) => new FrequencyResponse(circuit).at(hz, 'out');

  it('have their corner at R/(2πL) directly at the input', () => {
    const circuit = network([inductor('L1', 'in', 'out', 0.1), resistor('R1', 'out', GROUND, 1e3)]);
    const { decibels, phaseDegrees } = corner(circuit, 1e3 / (TAU * 0.1));
    expect(decibels).toBeCloseTo(-10 * Math.log10(2), 9);
    expect(phaseDegrees).toBeCloseTo(-45, 9);
  });

  it('have the same corner behind an op-amp, whose supply carries their current', () => {
    const circuit = network([
      source('vp', 9),
      source('vn', -9),
      opamp('U1', ['in', 'driven', 'driven', 'vp', 'vn'], FOLLOWER),
      inductor('L1', 'driven', 'out', 0.1),
      resistor('R1', 'out', 'vn', 1e3),
    ]);
    // The follower's own bandwidth is 6283 times higher: 0.01 degrees.
    expect(corner(circuit, 1e3 / (TAU * 0.1)).phaseDegrees).toBeCloseTo(-45, 1);
    const { volts, inductorA } = operatingPoint(circuit);
    expect(volts.get('out')).toBeCloseTo(volts.get('driven')!, 9);
    expect(inductorA.get('L1')).toBeCloseTo(9e-3, 8);
    const supplies = new Map(voltageChart(circuit).supplies.map(({ ref, amps }) => [ref, amps]));
    expect(supplies.get('V vp')).toBeCloseTo(11e-3, 8);
    // A source with its plus at ground gives what flows into its other end.
    expect(supplies.get('V vn')).toBeCloseTo(11e-3, 8);
  });

  it('carry the direct current of a supply without a voltage drop', () => {
    const circuit = network([
      source('vcc', 9),
      inductor('L1', 'vcc', 'fed', 10),
      resistor('R1', 'fed', 'out', 1e3),
      resistor('R2', 'out', GROUND, 2e3),
      resistor('R3', 'in', 'out', 1e9),
    ]);
    const { volts, inductorA } = operatingPoint(circuit);
    expect(volts.get('vcc')).toBeCloseTo(9, 12);
    expect(volts.get('fed')).toBeCloseTo(9, 9);
    // 1 GΩ in parallel with 2 kΩ takes 2e-6 of it.
    expect(inductorA.get('L1')).toBeCloseTo(3e-3, 8);
    const still = run(circuit, 384e3, new Float64Array(4000)).output;
    for (const at of [0, 3999]) expect(still[at]).toBeCloseTo(volts.get('out')!, 9);
  });

  it('resonate like a pickup with its cable', () => {
    // f = 1/(2π√(LC)): 2.5 H with 700 pF 3804.5 Hz, 4.5 H with 700 pF 2835.7 Hz.
    for (const [henries, hz] of [
      [2.5, 3804.5],
      [4.5, 2835.7],
    ] as const) {
      const circuit = network([
        resistor('R1', 'in', 'coil', 6e3),
        inductor('L1', 'coil', 'out', henries),
        capacitor('C1', 'out', GROUND, 700e-12),
      ]);
      // At ω0 the capacitor's voltage is the input shifted by 90 degrees, √(L/C)/R times as large.
      const { decibels, phaseDegrees } = corner(circuit, 1 / (TAU * Math.sqrt(henries * 700e-12)));
      expect(phaseDegrees).toBeCloseTo(-90, 6);
      expect(decibels).toBeCloseTo(20 * Math.log10(Math.sqrt(henries / 700e-12) / 6e3), 6);
      expect(corner(circuit, hz).phaseDegrees).toBeCloseTo(-90, 0);
    }
  });
});

describe('coils and capacitors when another part changes while they run', () => {
  const circuit = network([
    resistor('R1', 'in', 'a', 470),
    inductor('L1', 'a', 'out', 0.1),
    inductor('L2', GROUND, 'out', 0.3),
    capacitor('C1', 'out', GROUND, 47e-9),
    resistor('R2', 'out', GROUND, 10e3),
  ]);
  const R2 = 4;
  const input = sine(4000, 384e3, 1000, 1);
  /** The output where the numbers change at half time, at once. */
  function changed(interpreted: boolean, change: (parameters: Float64Array) => void): Float64Array {
    const simulator = new CircuitSimulator(compileCircuit(circuit, { sampleRateHz: 384e3, interpreted }));
    const output = new Float64Array(4000);
    simulator.process(input, output, 2000);
    const parameters = Float64Array.from(simulator.circuit.parameters);
    change(parameters);
    simulator.setParameters(parameters, 0);
    simulator.process(input.subarray(2000), output.subarray(2000), 2000);
    return output;
  }

  it.each([true, false])('keep their voltage and current (interpreter %s)', (interpreted) => {
    const undisturbed = run(circuit, 384e3, input, { interpreted }).output;
    const derivedAnew = changed(interpreted, (parameters) => {
      parameters[R2]! *= 1 + 1e-12;
    });
    expect(differenceOf(derivedAnew, undisturbed)).toBeLessThan(1e-9);
  });

  it('keep them also when the coil itself changes', () => {
    // The output is the capacitor's voltage: its slope changes, but it does not jump, for any new coil.
    const usual = run(circuit, 384e3, input).output;
    const step = peakOf(usual.subarray(1).map((volts, n) => volts - usual[n]!));
    for (const factor of [0.1, 10]) {
      const output = changed(false, (parameters) => {
        parameters[1]! *= factor;
      });
      expect(Math.abs(output[2000]! - output[1999]!)).toBeLessThan(2 * step);
    }
  });
});

describe('a charge-pump converter', () => {
  const circuit = network([
    source('vcc', 9),
    { kind: 'converter', ...ofPart('U1 doubler'), nodes: ['vcc', 'out'], ratio: 2, outputOhms: 70 },
    { kind: 'converter', ...ofPart('U1 inverter'), nodes: ['vcc', 'negative'], ratio: -1, outputOhms: 70 },
    resistor('R1', 'out', GROUND, 2e3),
    resistor('R2', 'negative', GROUND, 1e3),
    capacitor('C1', 'out', GROUND, 10e-6),
    resistor('R3', 'in', 'out', 2e3),
  ]);

  it('gives the ratio times its supply, less the drop at its resistance, and draws the ratio times its output current', () => {
    const { volts } = operatingPoint(circuit);
    // 18 V behind 70 Ω into 1 kΩ (R3 leads to the input at 0 V); −9 V behind 70 Ω into 1 kΩ.
    expect(volts.get('out')).toBeCloseTo((18 * 1000) / 1070, 9);
    expect(volts.get('negative')).toBeCloseTo((-9 * 1000) / 1070, 9);
    const supplied = 2 * (18 / 1070) + 9 / 1070;
    expect(voltageChart(circuit).supplies[0]!.amps).toBeCloseTo(supplied, 12);
  });

  it('passes a signal with the gain of its resistance and the capacitor behind it', () => {
    // R3 with R1, R3 and 70 Ω in parallel with C1.
    const parallelOhms = 1 / (1 / 2e3 + 1 / 2e3 + 1 / 70);
    const hz = 1 / (TAU * parallelOhms * 10e-6);
    const { decibels } = new FrequencyResponse(circuit).at(hz, 'out');
    expect(decibels).toBeCloseTo(20 * Math.log10(parallelOhms / 2e3 / Math.SQRT2), 9);
  });
});

describe('a small sine through the running solver', () => {
  const RATE_HZ = 16 * 48_000;

  it.each(['clean-plain', 'soft-germanium', 'soft-lifted'])(
    'has the small-signal gain and phase: %s',
    (name) => {
      const circuit = networkOf(presetBuild(name), NOMINAL_TEMPERATURE_K);
      const response = new FrequencyResponse(circuit);
      // Germanium diodes and the gain stage are nonlinear at a millivolt: this sine is small enough for a hundredth of
      // a decibel.
      const peakV = 1e-5;
      for (const hz of [82, 440, 1000, 5000]) {
        const [settle, measure] = [0.3, 0.5];
        const input = sine(RATE_HZ * (settle + measure), RATE_HZ, hz, peakV);
        const { output } = run(circuit, RATE_HZ, input);
        let re = 0;
        let im = 0;
        for (let n = RATE_HZ * settle; n < output.length; n++) {
          re += output[n]! * Math.sin((TAU * hz * n) / RATE_HZ);
          im += output[n]! * Math.cos((TAU * hz * n) / RATE_HZ);
        }
        const { decibels, phaseDegrees } = response.at(hz, 'out');
        const gain = (2 * Math.hypot(re, im)) / (RATE_HZ * measure) / peakV;
        expect(Math.abs(20 * Math.log10(gain) - decibels), `${hz} Hz`).toBeLessThan(0.05);
        const turn = (Math.atan2(im, re) * 360) / TAU - phaseDegrees;
        expect(Math.abs(turn - 360 * Math.round(turn / 360)), `${hz} Hz`).toBeLessThan(0.5);
      }
    },
  );
});
