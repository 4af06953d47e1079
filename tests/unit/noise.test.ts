import { describe, expect, it } from 'vitest';
import { withInput } from '../../engine/analysis/build-noise.ts';
import { FrequencyResponse } from '../../engine/analysis/frequency-response.ts';
import { type NoiseRange, noiseOf } from '../../engine/analysis/noise.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { GROUND } from '../../engine/devices/node.ts';
import type { OpampData, OpampNoise } from '../../engine/devices/opamp-data.ts';
import { ofPart } from '../../engine/devices/origin.ts';
import {
  BOLTZMANN_J_PER_K,
  ELEMENTARY_CHARGE_C,
  NOMINAL_TEMPERATURE_K,
  thermalVoltage,
} from '../../engine/devices/physics.ts';
import type { Network, Primitive } from '../../engine/network/network.ts';
import { presetBuild } from '../preset-build.ts';
import {
  bipolar,
  capacitor,
  diode,
  fieldEffect,
  inductor,
  network,
  opamp,
  resistor,
  source,
} from './small-networks.ts';

const KT4 = 4 * BOLTZMANN_J_PER_K * NOMINAL_TEMPERATURE_K;
const VT = thermalVoltage(NOMINAL_TEMPERATURE_K);
const Q2 = 2 * ELEMENTARY_CHARGE_C;

/** So fast and with so much gain that it is the hand formulas' ideal op-amp to 1e-6. */
const FAST: OpampData = {
  gainBandwidthHz: 1e12,
  slewVPerS: 1e13,
  openLoopGain: 1e9,
  headroomHighV: 1,
  headroomLowV: 1,
  inputBiasA: 0,
  quiescentA: 0,
};
const WHITE: OpampNoise = {
  voltageAt1kHzVPerRtHz: 5e-9,
  voltageCornerHz: 0,
  currentAt1kHzAPerRtHz: 2e-12,
  currentCornerHz: 0,
};
const SUPPLIES = [source('+', 15), source('-', -15)];

/** Output density at 1 kHz, squared, V²/Hz. */
function densityOf(circuit: Network, hz = 1000): number {
  const range: NoiseRange = { fromHz: hz, toHz: 1.01 * hz, pointsPerDecade: 1 };
  return noiseOf(circuit, range).points[0]!.outputVPerRtHz ** 2;
}

function amplifier(noise: OpampNoise, primitives: readonly Primitive[], plus: string): Network {
  const part: Primitive = { ...opamp('U1', [plus, 'minus', 'out', '+', '-'], FAST), noise } as Primitive;
  return network([...SUPPLIES, ...primitives, part]);
}

describe('noise of a flat divider', () => {
  // Three resistors of 1 kΩ: a third of the input, and 667 Ω at the output.
  const noise = noiseOf(
    network([
      resistor('R1', 'in', 'tap', 1000),
      resistor('R2', 'tap', 'out', 1000),
      resistor('R3', 'out', GROUND, 1000),
    ]),
  );

  it('is three times as large at the input as at the output, plain and A-weighted', () => {
    expect(noise.outputV).toBeGreaterThan(0);
    expect(noise.inputV / noise.outputV).toBeCloseTo(3, 9);
    expect(noise.weightedInputV / noise.weightedV).toBeCloseTo(3, 9);
  });

  it('is the root of the sum of the squares of its contributions', () => {
    const power = (of: 'outputV' | 'weightedV') =>
      noise.contributions.reduce((sum, contribution) => sum + contribution[of] ** 2, 0);
    expect(noise.contributions).toHaveLength(3);
    expect(Math.sqrt(power('outputV')) / noise.outputV).toBeCloseTo(1, 9);
    expect(Math.sqrt(power('weightedV')) / noise.weightedV).toBeCloseTo(1, 9);
  });
});

describe('thermal noise', () => {
  it.each([
    // √(4kTR) at 27 °C with the SI's constants: 4.071 nV for 1 kΩ, and ten times that for 100 kΩ.
    [1e3, 4.0714e-9],
    [10e3, 12.875e-9],
    [1e6, 128.75e-9],
  ])('of %d ohms is that of Nyquist (Phys. Rev. 32, 1928)', (ohms, voltsPerRtHz) => {
    const noise = noiseOf(network([resistor('R1', 'out', GROUND, ohms)]));
    // The figures above have five digits.
    for (const { outputVPerRtHz } of noise.points) expect(outputVPerRtHz / voltsPerRtHz).toBeCloseTo(1, 4);
    // White: the RMS over 20 Hz to 20 kHz is the density times √19 980 Hz; the sum over the logarithm is good to 1e-3.
    expect(noise.outputV / (voltsPerRtHz * Math.sqrt(19_980))).toBeCloseTo(1, 3);
  });

  it('of an RC is √(kT/C) in total, for any resistance', () => {
    for (const ohms of [1e4, 1e6]) {
      const circuit = network([resistor('R1', 'out', GROUND, ohms), capacitor('C1', 'out', GROUND, 1e-9)]);
      const cornerHz = 1 / (2 * Math.PI * ohms * 1e-9);
      // A range of a factor of a million above and below the corner leaves out 2/π·1e-6 at either end.
      const range = { fromHz: 1e-6 * cornerHz, toHz: 1e6 * cornerHz, pointsPerDecade: 50 };
      const expected = Math.sqrt((BOLTZMANN_J_PER_K * NOMINAL_TEMPERATURE_K) / 1e-9);
      expect(noiseOf(circuit, range).outputV / expected).toBeCloseTo(1, 4);
    }
  });

  it('of a passive network is 4kT times the real part of its impedance', () => {
    // A coil of 7 kΩ and 2.5 H with 700 pF and 250 kΩ across it (Nyquist's theorem for any network).
    const coil = [resistor('R1', 'in', 'a', 7e3), inductor('L1', 'a', 'out', 2.5)];
    const load = [capacitor('C1', 'out', GROUND, 700e-12), resistor('R2', 'out', GROUND, 250e3)];
    for (const hz of [100, 3804.5, 12e3]) {
      const omega = 2 * Math.PI * hz;
      const size = 7e3 ** 2 + (omega * 2.5) ** 2;
      const conductance = 7e3 / size + 1 / 250e3;
      const susceptance = omega * 700e-12 - (omega * 2.5) / size;
      const real = conductance / (conductance ** 2 + susceptance ** 2);
      // Closed form compared with linear algebra of a few unknowns: only rounding.
      expect(densityOf(network([...coil, ...load]), hz) / (KT4 * real)).toBeCloseTo(1, 9);
    }
  });

  it('of a pickup at the input is the same as that of the same parts in the circuit', () => {
    const bare = network([resistor('R1', 'in', 'out', 1), resistor('R2', 'out', GROUND, 1e6)]);
    const plugged = withInput(bare, 'pickup');
    expect(withInput(bare, 'shorted')).toBe(bare);
    // At 20 Hz the cable's 13 MΩ hardly matter. In parallel are the coil, the tone control with its capacitor, 250 kΩ
    // and 1 MΩ, all at 27 °C: 4kT times the real part of that (Nyquist's theorem for any network). The tracks' ends add
    // 2 Ω in series.
    const omega = 2 * Math.PI * 20;
    const admittance = (re: number, im: number) => ({
      re: re / (re * re + im * im),
      im: -im / (re * re + im * im),
    });
    const coil = admittance(7000, omega * 2.5);
    const tone = admittance(250e3, -1 / (omega * 47e-9));
    const re = coil.re + tone.re + 1 / 250e3 + 1 / 1e6;
    const im = coil.im + tone.im;
    expect(densityOf(plugged, 20) / (KT4 * (re / (re * re + im * im) + 2))).toBeCloseTo(1, 3);
  });
});

describe('noise of an op-amp stage', () => {
  // TI SLVA043B, "Noise Analysis in Operational Amplifier Circuits", section 5; formulas from memory.
  it('without inversion follows the application note', () => {
    const [r1, r2, r3] = [1e3, 47e3, 22e3];
    const parts = [
      resistor('R1', 'minus', GROUND, r1),
      resistor('R2', 'out', 'minus', r2),
      resistor('R3', 'in', 'plus', r3),
    ];
    const gain = 1 + r2 / r1;
    const expected =
      (5e-9 * gain) ** 2 +
      (2e-12 * r2) ** 2 +
      (2e-12 * r3 * gain) ** 2 +
      KT4 * (r2 + r1 * (r2 / r1) ** 2 + r3 * gain ** 2);
    // 1 kHz compared with the loop's 20 GHz.
    expect(densityOf(amplifier(WHITE, parts, 'plus')) / expected).toBeCloseTo(1, 6);
  });

  it('with inversion follows the application note, and the noise at the input is this divided by the gain', () => {
    const [r1, r2] = [10e3, 220e3];
    const parts = [resistor('R1', 'in', 'minus', r1), resistor('R2', 'out', 'minus', r2)];
    const circuit = amplifier(WHITE, parts, GROUND);
    const expected = (5e-9 * (1 + r2 / r1)) ** 2 + (2e-12 * r2) ** 2 + KT4 * (r2 + r1 * (r2 / r1) ** 2);
    const [point] = noiseOf(circuit).points;
    expect(point!.outputVPerRtHz ** 2 / expected).toBeCloseTo(1, 6);
    expect((point!.outputVPerRtHz / point!.inputVPerRtHz) * (r1 / r2)).toBeCloseTo(1, 6);
  });

  it('with a corner sums to e²·(f_c·ln(f_H/f_L) + f_H − f_L)', () => {
    const noise = { ...WHITE, currentAt1kHzAPerRtHz: 0, voltageCornerHz: 200 };
    const wire = resistor('R1', 'minus', 'out', 1e-3);
    const { outputV } = noiseOf(amplifier(noise, [wire], 'in'));
    const white = 25e-18 / (1 + 200 / 1000);
    // Same note, equation 9. The sum over the logarithm of frequency is good to 1e-3.
    expect(outputV ** 2 / (white * (200 * Math.log(1000) + 19_980))).toBeCloseTo(1, 2);
    // The wire's own noise is 7e-7 of it.
    expect(densityOf(amplifier(noise, [wire], 'in'), 1000) / 25e-18).toBeCloseTo(1, 5);
  });

  it('names the voltage noise as the main source with its gain, and has shares that add up to one', () => {
    const parts = [resistor('R1', 'minus', GROUND, 10), resistor('R2', 'out', 'minus', 990)];
    const { contributions, unknown } = noiseOf(amplifier(WHITE, parts, 'in'));
    expect(contributions[0]).toMatchObject({ part: 'U1', kind: 'voltage noise' });
    // 1 + 990/10 = 100.
    expect(contributions[0]!.gainDb).toBeCloseTo(40, 5);
    expect(contributions.reduce((sum, { share }) => sum + share, 0)).toBeCloseTo(1, 12);
    expect(unknown).toEqual([]);
  });

  it('sends a noise current at an output to the supply pin, and through the supply’s resistance', () => {
    // At rest the output sources 5 mA, so the positive pin carries all of R3's current with its noise.
    const parts = [
      source('+ supply', 15),
      source('-', -15),
      resistor('R1', '+ supply', 'out', 100),
      resistor('R3', 'buffered', 'load', 1e3),
      source('load', -5),
      opamp('U1', ['in', 'buffered', 'buffered', 'out', '-'], FAST),
    ];
    const expected = KT4 * 100 + (KT4 / 1e3) * 100 ** 2;
    expect(densityOf(network(parts)) / expected).toBeCloseTo(1, 6);
    expect(noiseOf(network(parts)).unknown).toEqual(['U1']);
  });
});

describe('noise of junctions and channels', () => {
  const germanium = {
    saturationCurrentA: 2.6e-6,
    emissionCoefficient: 1.6,
    seriesOhms: 6.5,
    zeroBiasCapacitanceF: 0,
  };

  it.each([1, 3])(
    'is the thermal noise of the small-signal conductance in %d diodes without bias',
    (count) => {
      const circuit = network([diode('D1', ['out', GROUND], germanium, count)]);
      const ohms = count * ((1.6 * VT) / 2.6e-6 + 6.5);
      // Nyquist's theorem; the smallest conductance of a junction, 1 pS, is 2e-8 of it.
      expect(densityOf(circuit) / (KT4 * ohms)).toBeCloseTo(1, 6);
    },
  );

  it.each([1, 3])('is that of the leak too in %d diodes without bias', (count) => {
    const leakageS = 2e-6;
    const circuit = network([diode('D1', ['out', GROUND], { ...germanium, leakageS }, count)]);
    // Nyquist's theorem for the leak and the junction side by side.
    const ohms = count * (1 / (2.6e-6 / (1.6 * VT) + leakageS) + 6.5);
    expect(densityOf(circuit) / (KT4 * ohms)).toBeCloseTo(1, 6);
  });

  it('is thermal noise, not shot noise, of a leak that carries current', () => {
    // 1 µA from 1 kV through 1 GΩ; with next to no junction, the leak is a resistor of 500 kΩ.
    const parts = [source('supply', 1000), resistor('R1', 'supply', 'out', 1e9)];
    const data = { ...germanium, saturationCurrentA: 1e-20, emissionCoefficient: 4, leakageS: 2e-6 };
    const circuit = network([...parts, diode('D1', ['out', GROUND], data)]);
    // R1 in parallel takes 5e-4 of the resistance.
    expect(densityOf(circuit) / (KT4 / 2e-6)).toBeCloseTo(1, 3);
  });

  it.each([1, 2])('is the shot noise 2qI in %d conducting diodes', (count) => {
    // 1 mA through 1 MΩ from 1 kV: the supply's resistor adds almost no noise.
    const parts = [source('supply', 1000), resistor('R1', 'supply', 'out', 1e6)];
    const circuit = network([...parts, diode('D1', ['out', GROUND], { ...germanium, seriesOhms: 0 }, count)]);
    const slope = (1.6 * VT) / 1e-3;
    // 1 mA within 3e-3: the diode drops 0.3 V, and the saturation current is 0.26 % of it.
    expect(densityOf(circuit) / (count * Q2 * 1e-3 * slope ** 2)).toBeCloseTo(1, 2);
  });

  it('is the noise of the hybrid-π transistor with its base resistance', () => {
    const data = { saturationCurrentA: 1e-14, forwardBeta: 200, reverseBeta: 1, earlyV: 1e12 };
    const amps = 1e-3;
    const baseV = VT * Math.log(amps / 1e-14);
    const q1 = { ...bipolar('npn', 'Q1', ['out', 'base', GROUND], data), noiseBaseOhms: 150 } as Primitive;
    const circuit = network([
      source('supply', 9),
      source('bias', baseV),
      resistor('RC', 'supply', 'out', 4700),
      resistor('RB', 'bias', 'base', 1e-3),
      q1,
    ]);
    const transconductance = amps / VT;
    // Gray & Meyer, Analysis and Design of Analog Integrated Circuits, chapter 11, from memory.
    const collector = Q2 * amps + KT4 * 150 * transconductance ** 2 + KT4 / 4700;
    expect(densityOf(circuit) / (collector * 4700 ** 2)).toBeCloseTo(1, 4);
  });

  it('has the shot noise of the base current across the source resistance of the base', () => {
    const data = { saturationCurrentA: 1e-14, forwardBeta: 100, reverseBeta: 1, earlyV: 1e12 };
    const circuit = network(
      [
        source('supply', 9),
        source('bias', 5),
        resistor('RB', 'bias', 'base', 10e3),
        resistor('RE', 'out', GROUND, 1e9),
        bipolar('npn', 'Q1', ['supply', 'base', 'out'], data),
      ],
      { output: 'base' },
    );
    // The output of a follower without load has all noise of its base except the thermal noise of the bias resistor.
    expect(densityOf(circuit) / (KT4 * 10e3)).toBeCloseTo(1, 3);
    const grounded = network([
      source('supply', 9),
      source('bias', VT * Math.log(1e-3 / 1e-14)),
      inductor('LB', 'bias', 'out', 1e6),
      bipolar('npn', 'Q1', ['supply', 'out', GROUND], data),
    ]);
    // At 1 kHz only the junction matters: 2q·I_B across V_T/I_B is half the thermal noise of that resistance.
    expect(densityOf(grounded) / (0.5 * KT4 * (VT / 1e-5))).toBeCloseTo(1, 4);
  });

  it('is (2/3)·4kT·g_m in a saturated channel, and that of a resistor in a channel without voltage', () => {
    const data = { betaAPerV2: 1e-3, thresholdV: -2, lambdaPerV: 0, gateSaturationCurrentA: 0 };
    const saturated = network([
      source('supply', 9),
      resistor('RD', 'supply', 'out', 1e3),
      fieldEffect('nJfet', 'Q1', ['out', GROUND, GROUND], data),
    ]);
    // g_m = 2β·(v_GS − V_to) = 4 mS. A. van der Ziel, Proc. IRE 50 (1962), 1808.
    const expected = ((2 / 3) * KT4 * 4e-3 + KT4 / 1e3) * 1e3 ** 2;
    expect(densityOf(saturated) / expected).toBeCloseTo(1, 6);
    const open = network([fieldEffect('nJfet', 'Q1', ['out', GROUND, GROUND], data)]);
    expect(densityOf(open) / (KT4 / 4e-3)).toBeCloseTo(1, 6);
  });
});

describe('noise of devices with no pin at ground', () => {
  it('is 4kT times the real part of the impedance in equilibrium, for every device', () => {
    // Nyquist's theorem for any network without bias, here with the impedance from the small-signal response: if the
    // noise of a device had the wrong sign at one of its two nodes, the sum would be another one.
    const junction = {
      saturationCurrentA: 2e-6,
      emissionCoefficient: 1.4,
      seriesOhms: 3e3,
      zeroBiasCapacitanceF: 0,
    };
    const bjt = { saturationCurrentA: 1e-6, forwardBeta: 20, reverseBeta: 2, earlyV: 30 };
    const fet = { betaAPerV2: 1e-5, thresholdV: -1.5, lambdaPerV: 0.05, gateSaturationCurrentA: 1e-6 };
    const pump: Primitive = {
      kind: 'converter',
      ...ofPart('U1'),
      nodes: ['b', 'd'],
      ratio: 2,
      outputOhms: 4e3,
    };
    const parts = [
      resistor('R1', 'out', 'a', 10e3),
      resistor('R2', 'a', GROUND, 47e3),
      resistor('R3', 'out', 'b', 22e3),
      resistor('R4', 'b', GROUND, 33e3),
      resistor('R5', 'd', 'a', 15e3),
    ];
    for (const device of [
      diode('D1', ['a', 'b'], junction, 3),
      bipolar('npn', 'Q1', ['a', 'out', 'b'], bjt),
      bipolar('pnp', 'Q1', ['b', 'a', 'out'], bjt),
      fieldEffect('nJfet', 'Q1', ['a', 'b', 'out'], fet),
      pump,
    ]) {
      const circuit = [...parts, device];
      const probed = network([...circuit, resistor('RT', 'in', 'out', 1e5)]);
      // Z = R·g/(1 − g), which has no imaginary part without capacitors.
      const gain = 10 ** (new FrequencyResponse(probed).at(1000, 'out').decibels / 20);
      const ohms = (1e5 * gain) / (1 - gain);
      expect(densityOf(network(circuit)) / (KT4 * ohms), device.kind).toBeCloseTo(1, 6);
    }
  });

  it('is the same for a transistor of the other polarity between supplies of the opposite sign', () => {
    // Saturated with both junctions conducting, and with a collector current that the Early voltage reduces to nearly
    // half.
    const data = { saturationCurrentA: 1e-12, forwardBeta: 80, reverseBeta: 4, earlyV: 9 };
    const density = (kind: 'npn' | 'pnp', sign: 1 | -1, collectorV: number, baseV: number) =>
      densityOf(
        network([
          source('vc', sign * collectorV),
          source('vb', sign * baseV),
          resistor('RC', 'vc', 'out', 1e3),
          resistor('RB', 'vb', 'base', 20e3),
          resistor('RE', 'e', GROUND, 100),
          { ...bipolar(kind, 'Q1', ['out', 'base', 'e'], data), noiseBaseOhms: 300 } as Primitive,
        ]),
      );
    for (const [collectorV, baseV] of [
      [9, 2],
      [0.5, 5],
    ] as const) {
      expect(density('pnp', -1, collectorV, baseV) / density('npn', 1, collectorV, baseV)).toBeCloseTo(1, 9);
    }
    // 2q·I_C with the full current: the noise includes what the Early voltage adds to the current.
    const early = { saturationCurrentA: 1e-12, forwardBeta: 1e9, reverseBeta: 1, earlyV: 9 };
    const parts = [source('supply', 9), source('vb', 0.5), resistor('RB', 'vb', 'base', 1e-3)];
    const collectorA = 1e-12 * Math.exp(0.5 / VT) * (1 + (9 - 0.5) / 9);
    const follower = [
      bipolar('npn', 'Q1', ['supply', 'base', 'out'], early),
      resistor('RE', 'out', GROUND, 1),
    ];
    const loaded = network([...parts, ...follower]);
    const slope = 1 / (collectorA / VT + 1);
    expect(densityOf(loaded) / ((Q2 * collectorA + KT4) * slope ** 2)).toBeCloseTo(1, 2);
  });

  it('is the same for a channel with drain and source exchanged', () => {
    // A channel's direction depends only on its voltage. A. van der Ziel, Proc. IRE 50 (1962), 1808.
    const data = { betaAPerV2: 1e-3, thresholdV: -2, lambdaPerV: 0.1, gateSaturationCurrentA: 1e-7 };
    const density = (pins: readonly [string, string, string]) =>
      densityOf(
        network([
          source('supply', 1.5),
          resistor('RD', 'supply', 'out', 300),
          resistor('RG', 'gate', GROUND, 100e3),
          resistor('RS', 's', GROUND, 200),
          fieldEffect('nJfet', 'Q1', pins, data),
        ]),
      );
    expect(density(['s', 'gate', 'out']) / density(['out', 'gate', 's'])).toBeCloseTo(1, 9);
    // With λ the channel's conductance grows with the voltage, and its noise grows too: 2β(1 + λ·v_DS)·drive.
    const long = { ...data, gateSaturationCurrentA: 0 };
    const driven = network([
      source('supply', 9),
      resistor('RD', 'supply', 'out', 1),
      fieldEffect('nJfet', 'Q1', ['out', GROUND, GROUND], long),
    ]);
    const drainV = 9 - 1e-3 * 4 * (1 + 0.1 * 9) * 1;
    const noise = (2 / 3) * KT4 * 2e-3 * 2 * (1 + 0.1 * drainV);
    expect(densityOf(driven) / (noise + KT4)).toBeCloseTo(1, 2);
  });

  it('does not depend on the place of ground', () => {
    // Kirchhoff's laws depend only on differences of voltages: a circuit lifted by 3 V is the same circuit.
    const junction = {
      saturationCurrentA: 1e-6,
      emissionCoefficient: 1.6,
      seriesOhms: 400,
      zeroBiasCapacitanceF: 0,
    };
    const fet = { betaAPerV2: 1e-3, thresholdV: -2, lambdaPerV: 0.1, gateSaturationCurrentA: 1e-9 };
    const density = (part: (low: string) => Primitive, acrossV: number, lowV: number) => {
      const held = lowV === 0 ? [] : [source('low', lowV)];
      const low = lowV === 0 ? GROUND : 'low';
      const parts = [source('supply', lowV + acrossV), resistor('R1', 'supply', 'out', 1e3)];
      return densityOf(network([...held, ...parts, part(low)]));
    };
    const forward = (low: string) => diode('D1', ['out', low], junction, 2);
    const channel = (low: string) => fieldEffect('nJfet', 'Q1', ['out', low, low], fet);
    // Each below and above the knee of its curve.
    for (const part of [forward, channel]) {
      for (const acrossV of [0.05, 9]) {
        expect(density(part, acrossV, 3) / density(part, acrossV, 0)).toBeCloseTo(1, 6);
      }
    }
  });

  it('is 2qI for each junction of a string, plus that of its series resistance', () => {
    const data = {
      saturationCurrentA: 1e-9,
      emissionCoefficient: 1,
      seriesOhms: 400,
      zeroBiasCapacitanceF: 0,
    };
    // 0.1 mA from 100 V; the string has two junctions of V_T/I and one resistance, as in its card.
    const circuit = network([
      source('supply', 100),
      resistor('R1', 'supply', 'out', 1e6),
      diode('D1', ['out', GROUND], data, 2),
    ]);
    const amps = 1e-4 * (1 - (2 * VT * Math.log(1e5) + 0.04) / 100);
    const expected = 2 * Q2 * amps * (VT / amps) ** 2 + KT4 * 2 * 400;
    expect(densityOf(circuit) / expected).toBeCloseTo(1, 2);
  });

  it('is the noise of the base resistance, amplified like an input, in the active range and in saturation', () => {
    // A voltage in series with the base has the same effect as a voltage at the base: 4kT·R_B·|H|² with H from the
    // response.
    const data = { saturationCurrentA: 1e-13, forwardBeta: 60, reverseBeta: 3, earlyV: 40 };
    for (const collectorV of [9, 0.3]) {
      const circuit = (noiseBaseOhms: number) =>
        network([
          source('vc', collectorV),
          source('ve', -5),
          resistor('RC', 'vc', 'out', 2e3),
          resistor('RE', 'e', 've', 3e3),
          { ...bipolar('npn', 'Q1', ['out', 'in', 'e'], data), noiseBaseOhms } as Primitive,
        ]);
      const gain = 10 ** (new FrequencyResponse(circuit(0)).at(1000, 'out').decibels / 20);
      const added = densityOf(circuit(1e5)) - densityOf(circuit(0));
      expect(added / (KT4 * 1e5 * gain ** 2)).toBeCloseTo(1, 6);
    }
  });

  it('is 2q(I + 2·I_S) in a junction with little more than its saturation current', () => {
    // I + I_S and I_S flow in opposite directions. A. van der Ziel, Noise in Solid State Devices and Circuits, from
    // memory.
    const data = {
      saturationCurrentA: 1e-5,
      emissionCoefficient: 1,
      seriesOhms: 1e3,
      zeroBiasCapacitanceF: 0,
    };
    const parts = [source('supply', 100), resistor('R1', 'supply', 'out', 5e6)];
    const circuit = network([...parts, diode('D1', ['out', GROUND], data)]);
    const ohms = VT / 3e-5;
    // 20 µA within 6e-4, and the current into 5 MΩ.
    expect(densityOf(circuit) / (Q2 * 4e-5 * ohms ** 2 + KT4 * 1e3)).toBeCloseTo(1, 2);
  });

  it('of an op-amp does not pass while it is at its limit', () => {
    for (const sign of [1, -1]) {
      const parts = [source('high', sign * 14.5), resistor('R1', 'minus', 'out', 1)];
      const limited = densityOf(amplifier(WHITE, parts, 'high'));
      expect(limited / WHITE.voltageAt1kHzVPerRtHz ** 2).toBeLessThan(0.01);
    }
  });
});

describe('noise of a whole build', () => {
  it('has the same gain as the direct small-signal solution', () => {
    for (const preset of ['soft-plain', 'clean-plain']) {
      const circuit = withInput(networkOf(presetBuild(preset), NOMINAL_TEMPERATURE_K), 'pickup');
      const response = new FrequencyResponse(circuit);
      for (const { hz, outputVPerRtHz, inputVPerRtHz } of noiseOf(circuit).points.filter(
        (_, n) => n % 30 === 0,
      )) {
        const { decibels } = response.at(hz, circuit.output);
        // Two solutions of the same equations.
        expect(20 * Math.log10(outputVPerRtHz / inputVPerRtHz)).toBeCloseTo(decibels, 6);
      }
    }
  });

  it('falls with a quieter op-amp if the op-amp causes it', () => {
    const build = presetBuild('clean-plain');
    const swapped = (type: string) =>
      noiseOf(networkOf({ ...build, parts: { ...build.parts, U1: { type } } }, NOMINAL_TEMPERATURE_K))
        .weightedV;
    // 45 nV against 5 nV per root hertz: at least 15 dB of the difference remains above the resistors' noise.
    expect(20 * Math.log10(swapped('MC1458') / swapped('NE5532'))).toBeGreaterThan(10);
  });
});
