import { describe, expect, it } from 'vitest';
import { FrequencyResponse } from '../../engine/analysis/frequency-response.ts';
import { GROUND } from '../../engine/devices/node.ts';
import type { OpampData } from '../../engine/devices/opamp-data.ts';
import { thermalVoltage } from '../../engine/devices/physics.ts';
import type { Network, Primitive } from '../../engine/network/network.ts';
import { operatingPoint } from '../../engine/solver/operating-point.ts';
import {
  bipolar,
  capacitor,
  differenceOf,
  diode,
  fieldEffect,
  inductor,
  network,
  opamp,
  peakOf,
  resistor,
  run,
  sine,
  source,
} from './small-networks.ts';

const VT = thermalVoltage(300.15);
const RATE_HZ = 384_000;
/** So large that almost no signal voltage is across it. */
const BYPASS_FARADS = 1;
const decibels = (ratio: number) => 20 * Math.log10(Math.abs(ratio));

describe('a common-emitter stage', () => {
  const data = { saturationCurrentA: 5.911e-15, forwardBeta: 350, reverseBeta: 1.3, earlyV: 62.37 };
  const [collectorOhms, emitterOhms] = [4.7e3, 10e3];
  /** For a PNP both supplies have the opposite sign. */
  const stage = (kind: 'npn' | 'pnp', bypassed: boolean): Network => {
    const sign = kind === 'npn' ? 1 : -1;
    const parts: Primitive[] = [
      source('vcc', sign * 9),
      source('vee', sign * -9),
      resistor('RC', 'vcc', 'out', collectorOhms),
      resistor('RE', 'vee', 'e', emitterOhms),
      bipolar(kind, 'Q1', ['out', 'in', 'e'], data),
    ];
    if (bypassed) parts.push(capacitor('CE', 'e', GROUND, BYPASS_FARADS));
    return network(parts);
  };

  it('has the operating point that the Ebers-Moll equations give', () => {
    const { volts } = operatingPoint(stage('npn', true));
    const [e, c] = [volts.get('e')!, volts.get('out')!];
    const forward = data.saturationCurrentA * Math.expm1(-e / VT);
    const collectorA = forward * (1 + c / data.earlyV);
    // Left out: the reverse current of the collector junction, 1e-14 A.
    expect((9 - c) / collectorOhms).toBeCloseTo(collectorA, 11);
    expect((e + 9) / emitterOhms).toBeCloseTo(collectorA + forward / data.forwardBeta, 11);
    expect(e).toBeGreaterThan(-0.75);
    expect(e).toBeLessThan(-0.6);
  });

  it('has the gain −g_m·(R_C ∥ r_o) with its emitter at ground', () => {
    const circuit = stage('npn', true);
    const { volts } = operatingPoint(circuit);
    const [e, c] = [volts.get('e')!, volts.get('out')!];
    const forward = data.saturationCurrentA * Math.exp(-e / VT);
    // i_C = i_F·(1 + v_CB/V_A), and v_CB falls as much as the base voltage rises: −i_F/V_A.
    const transconductance = (forward / VT) * (1 + c / data.earlyV) - forward / data.earlyV;
    const gain = -transconductance / (1 / collectorOhms + forward / data.earlyV);
    const { decibels: own, phaseDegrees } = new FrequencyResponse(circuit).at(1000, 'out');
    expect(own).toBeCloseTo(decibels(gain), 4);
    expect(Math.abs(phaseDegrees)).toBeCloseTo(180, 1);
    expect(gain).toBeLessThan(-100);
  });

  it('has a gain of about −R_C/R_E when its whole emitter resistor is in the signal path', () => {
    const { decibels: own } = new FrequencyResponse(stage('npn', false)).at(1000, 'out');
    const { volts } = operatingPoint(stage('npn', false));
    const r = VT / ((volts.get('e')! + 9) / emitterOhms);
    // α = β/(β + 1); the Early effect changes the gain by R_C/(r_o·(1 + g_m·R_E)), less than 1e-3.
    expect(own).toBeCloseTo(decibels((350 / 351) * (collectorOhms / (emitterOhms + r))), 1);
  });

  it('clips as a PNP like the NPN, with the opposite sign', () => {
    const input = sine(4000, RATE_HZ, 440, 0.5);
    const upright = run(stage('npn', true), RATE_HZ, input);
    const mirrored = run(
      stage('pnp', true),
      RATE_HZ,
      input.map((volts) => -volts),
    );
    expect(peakOf(upright.output)).toBeGreaterThan(5);
    expect(
      differenceOf(
        upright.output,
        mirrored.output.map((volts) => -volts),
      ),
    ).toBeLessThan(1e-9);
    expect(upright.simulator.failures + mirrored.simulator.failures).toBe(0);
  });
});

describe('field-effect stages', () => {
  // Published model card of the 2N5457.
  const data = {
    betaAPerV2: 1.125e-3,
    thresholdV: -1.372,
    lambdaPerV: 2.3e-3,
    gateSaturationCurrentA: 1e-14,
  };
  const commonSource = (drain: string, other: string): Network =>
    network([
      source('vdd', 9),
      resistor('RG', 'in', 'gate', 1e6),
      resistor('RD', 'vdd', 'out', 2.2e3),
      resistor('RS', 'source', GROUND, 1e3),
      capacitor('CS', 'source', GROUND, BYPASS_FARADS),
      fieldEffect('nJfet', 'Q1', [drain, 'gate', other], data),
    ]);

  it('amplify by −g_m·(R_D ∥ r_ds), g_m = 2β·u·(1 + λ·v_DS)', () => {
    const circuit = commonSource('out', 'source');
    const { volts } = operatingPoint(circuit);
    const drive = volts.get('gate')! - volts.get('source')! - data.thresholdV;
    const span = volts.get('out')! - volts.get('source')!;
    const drainA = data.betaAPerV2 * drive ** 2 * (1 + data.lambdaPerV * span);
    expect(volts.get('source')! / 1e3).toBeCloseTo(drainA, 9);
    const transconductance = 2 * data.betaAPerV2 * drive * (1 + data.lambdaPerV * span);
    const gain = -transconductance / (1 / 2.2e3 + data.betaAPerV2 * data.lambdaPerV * drive ** 2);
    // The gate's leakage of 1e-14 A in 1 MΩ is 10 nV.
    expect(new FrequencyResponse(circuit).at(1000, 'out').decibels).toBeCloseTo(decibels(gain), 4);
  });

  it('work the same with drain and source exchanged', () => {
    const input = sine(3000, RATE_HZ, 440, 2);
    const [usual, exchanged] = [commonSource('out', 'source'), commonSource('source', 'out')].map((circuit) =>
      run(circuit, RATE_HZ, input),
    );
    expect(peakOf(usual!.output)).toBeGreaterThan(3);
    // Newton's method stops with other unknowns: the error is its last 5e-5 V squared, through the gate's junction,
    // times the gain.
    expect(differenceOf(usual!.output, exchanged!.output)).toBeLessThan(1e-7);
  });

  it('conduct through the gate of a JFET when it is driven forward', () => {
    const circuit = network([
      resistor('RG', 'in', 'out', 1e4),
      fieldEffect('nJfet', 'Q1', [GROUND, 'out', GROUND], data),
    ]);
    const { output } = run(circuit, RATE_HZ, new Float64Array(200).fill(2));
    // Two junctions side by side: i = 2·I_S·(e^(v/VT) − 1).
    const gate = output.at(-1)!;
    expect((2 - gate) / 1e4 / (2e-14 * Math.expm1(gate / VT))).toBeCloseTo(1, 6);
  });
});

describe('op-amp stages', () => {
  const data: OpampData = {
    gainBandwidthHz: 3e6,
    slewVPerS: 1.7e6,
    openLoopGain: 1e5,
    headroomHighV: 1.5,
    headroomLowV: 1,
    inputBiasA: 100e-9,
    quiescentA: 1e-3,
  };
  const supplies = [source('vp', 15), source('vn', -15)];

  it('make an offset from the input bias current and the resistance that it flows through', () => {
    const circuit = network([
      ...supplies,
      resistor('RI', 'in', 'plus', 1e6),
      opamp('U1', ['plus', 'minus', 'out', 'vp', 'vn'], data),
      resistor('RF', 'minus', 'out', 470e3),
    ]);
    // plus is at −1 MΩ·100 nA. The feedback resistor drops 470 kΩ·100 nA: −100 mV + 47 mV, divided by 1 + 1/A0.
    expect(operatingPoint(circuit).volts.get('out')).toBeCloseTo(-0.053, 5);
  });

  it('invert with a gain of R2/R1, reduced by the finite loop gain', () => {
    const circuit = network([
      ...supplies,
      resistor('R1', 'in', 'minus', 1e3),
      resistor('R2', 'minus', 'out', 1e4),
      opamp('U1', [GROUND, 'minus', 'out', 'vp', 'vn'], { ...data, inputBiasA: 0 }),
    ]);
    const response = new FrequencyResponse(circuit);
    expect(response.at(10, 'out').decibels).toBeCloseTo(decibels(10 / (1 + 11 / 1e5)), 4);
    // Closed-loop bandwidth GBW/(1 + R2/R1); A0 adds a ten-thousandth of that.
    const corner = response.at(3e6 / 11, 'out');
    expect(corner.decibels).toBeCloseTo(20 - 10 * Math.log10(2), 2);
    expect(corner.phaseDegrees).toBeCloseTo(135, 1);
  });

  it('limit at their own headroom on each side, and recover at once', () => {
    const circuit = network([
      ...supplies,
      resistor('R1', 'minus', GROUND, 1e3),
      resistor('R2', 'minus', 'out', 99e3),
      opamp('U1', ['in', 'minus', 'out', 'vp', 'vn'], data),
    ]);
    const input = Float64Array.from({ length: 6000 }, (_, n) => (n < 2000 ? 1 : n < 4000 ? -1 : 0));
    const { output } = run(circuit, RATE_HZ, input);
    // The full slew current drives 0.1 V and half a knee past the limit.
    expect(output[1999]).toBeCloseTo(15 - 1.5 + 0.15, 2);
    expect(output[3999]).toBeCloseTo(-15 + 1 - 0.15, 2);
    // 14.15 V at 1.7 V/µs takes 8.3 µs. Then a gain of 100 settles with 2π·30 kHz: forty samples are 104 µs.
    expect(Math.abs(output[4000 + 40]!)).toBeLessThan(0.02);
  });

  it('ramp at their slew rate between their limits', () => {
    const circuit = network([
      ...supplies,
      opamp('U1', ['in', 'out', 'out', 'vp', 'vn'], { ...data, inputBiasA: 0 }),
    ]);
    const rate = 1_536_000;
    const { output } = run(circuit, rate, new Float64Array(200).fill(10));
    const at = (volts: number) => output.findIndex((value) => value > volts);
    // s(u) = u/√(1 + u²) with u = w·vd/S is above 0.998 while the output is 1.5 V or more from its target.
    const seconds = (at(8) - at(2)) / rate;
    // One sample is 0.65 µs of 3.53 µs.
    expect(Math.abs(seconds - 6 / 1.7e6)).toBeLessThan(1 / rate);
    expect(output.at(-1)).toBeCloseTo(10 / (1 + 1 / 1e5), 3);
  });

  it('draw from a supply the current of a capacitor and a coil at their output', () => {
    const [supplyOhms, farads, henries, loadOhms] = [10, 1e-7, 0.5, 1e3];
    const circuit = network([
      source('v1', 15),
      source('vn', -15),
      resistor('RP', 'v1', 'vp', supplyOhms),
      opamp('U1', ['in', 'out', 'out', 'vp', 'vn'], { ...data, inputBiasA: 0, openLoopGain: 1e9 }),
      // The load pulls the output down, so the positive supply delivers the current.
      resistor('RL', 'out', 'vn', loadOhms),
      capacitor('CL', 'out', GROUND, farads),
      capacitor('CB', 'coil', GROUND, BYPASS_FARADS),
      inductor('LL', 'out', 'coil', henries),
      resistor('RB', 'coil', 'vn', 1e6),
    ]);
    const response = new FrequencyResponse(circuit);
    for (const hz of [50, 500, 5000]) {
      const w = 2 * Math.PI * hz;
      // v_p = −R·v_out·(1/R_L + jωC + 1/jωL), from Kirchhoff's current law at the output.
      const siemens = Math.hypot(1 / loadOhms, w * farads - 1 / (w * henries));
      const drawn = response.at(hz, 'vp').decibels - response.at(hz, 'out').decibels;
      expect(drawn, `${hz} Hz`).toBeCloseTo(decibels(supplyOhms * siemens), 3);
    }
  });

  it('pull down a supply without a filter capacitor, on the side that delivers the load current', () => {
    const circuit = (loadV: number) =>
      network([
        source('v1', 15),
        source('v2', -15),
        source('load', loadV),
        resistor('RP', 'v1', 'vp', 100),
        resistor('RN', 'v2', 'vn', 200),
        opamp('U1', ['in', 'out', 'out', 'vp', 'vn'], { ...data, inputBiasA: 0 }),
        resistor('RL', 'out', 'load', 1e3),
      ]);
    for (const [loadV, positiveA, negativeA] of [
      [-5, 6e-3, 1e-3],
      [5, 1e-3, 6e-3],
    ] as const) {
      const { volts } = operatingPoint(circuit(loadV));
      // The output is off by the middle of the supplies over A0: microvolts, and as many nanoamperes.
      expect(volts.get('vp')).toBeCloseTo(15 - 100 * positiveA, 5);
      expect(volts.get('vn')).toBeCloseTo(-15 + 200 * negativeA, 5);
      for (const interpreted of [true, false]) {
        const options = { interpreted, observed: ['vp', 'vn'] };
        // It starts without the load; twenty times the smoothing time of 1 ms later it has settled.
        const { simulator } = run(circuit(loadV), RATE_HZ, new Float64Array(7680), options);
        for (const net of ['vp', 'vn']) {
          const node = simulator.circuit.nodeNames.indexOf(net);
          expect(simulator.voltage(node), net).toBeCloseTo(volts.get(net)!, 5);
        }
      }
    }
  });

  it('clip with the diodes in their feedback at the level of the diode equation', () => {
    const junction = {
      saturationCurrentA: 2.52e-9,
      emissionCoefficient: 1.752,
      seriesOhms: 0.568,
      zeroBiasCapacitanceF: 4e-12,
    };
    const circuit = network([
      ...supplies,
      resistor('R1', 'in', 'minus', 1e3),
      diode('D1', ['minus', 'out'], junction, 2),
      diode('D2', ['out', 'minus'], junction),
      opamp('U1', [GROUND, 'minus', 'out', 'vp', 'vn'], { ...data, inputBiasA: 0 }),
    ]);
    for (const [inputV, count] of [
      [1, 2],
      [-1, 1],
    ] as const) {
      const { output } = run(circuit, RATE_HZ, new Float64Array(4000).fill(inputV));
      const amps = 1e-3;
      const expected = count * (1.752 * VT * Math.log1p(amps / 2.52e-9) + 0.568 * amps);
      // The virtual ground is off by out/A0 (6 µV), and by a little more near the limit.
      expect(Math.abs(output.at(-1)!)).toBeCloseTo(expected, 4);
    }
  });
});
