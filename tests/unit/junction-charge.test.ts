import { describe, expect, it } from 'vitest';
import { FrequencyResponse } from '../../engine/analysis/frequency-response.ts';
import { DIODE, type DiodeData } from '../../engine/devices/diode.ts';
import { GROUND } from '../../engine/devices/node.ts';
import { NOMINAL_TEMPERATURE_K, thermalVoltage } from '../../engine/devices/physics.ts';
import { CircuitSimulator } from '../../engine/solver/circuit-simulator.ts';
import { circuitNumbers, circuitValues, compileCircuit } from '../../engine/solver/compile.ts';
import { operatingPoint } from '../../engine/solver/operating-point.ts';
import { PortDevice } from '../../engine/solver/port-device.ts';
import { diode, network, peakOf, resistor, run, SILICON, source } from './small-networks.ts';

const CHARGE = { builtInV: 1.6, transitSeconds: 0 };
/** A junction that holds charge and hardly conducts: only its depletion layer counts. */
const LAYER: DiodeData = {
  saturationCurrentA: 1e-25,
  emissionCoefficient: 2,
  seriesOhms: 0,
  zeroBiasCapacitanceF: 50e-12,
  charge: CHARGE,
};

/** Capacitance of one diode as the operating point and the small signal see it, F. */
function faradsAt(data: DiodeData, volts: number, count = 1): number {
  const primitive = diode('D1', ['a', 'b'], data, count) as Parameters<typeof DIODE.numbersOf>[0];
  const device = PortDevice.of('diode', DIODE.structureOf(primitive));
  device.volts[0] = volts;
  device.evaluate(Float64Array.from(DIODE.numbersOf(primitive, NOMINAL_TEMPERATURE_K)), 0);
  return data.zeroBiasCapacitanceF / count + device.farads[0]!;
}

describe('the capacitance of a depletion layer', () => {
  it.each([
    [-3.2, 1 / Math.sqrt(3)],
    [0, 1],
    [0.8, Math.SQRT2],
  ])('is at %f V that of the law', (volts, share) => {
    // C_0/√(1 − v/V_J), with V_J = 1.6 V.
    expect(faradsAt(LAYER, volts)).toBeCloseTo(50e-12 * share, 22);
  });

  it('goes on above half the built-in voltage as its tangent', () => {
    // Slope there C_0·√2/V_J.
    expect(faradsAt(LAYER, 1.3)).toBeCloseTo(50e-12 * Math.SQRT2 * (1 + 0.5 / 1.6), 22);
  });

  it('is in a string of three at three times the voltage a third', () => {
    expect(faradsAt(LAYER, 3 * -3.2, 3)).toBeCloseTo(50e-12 / Math.sqrt(3) / 3, 22);
  });

  it('adds the transit time times the conductance of the junction', () => {
    const charge = { ...CHARGE, transitSeconds: 100e-9 };
    const data = { ...SILICON, seriesOhms: 0, charge };
    const emissionV = SILICON.emissionCoefficient * thermalVoltage(NOMINAL_TEMPERATURE_K);
    const siemens = (SILICON.saturationCurrentA / emissionV) * Math.exp(0.6 / emissionV);
    const layer = faradsAt({ ...data, charge: CHARGE }, 0.6);
    expect(faradsAt(data, 0.6) - layer).toBeCloseTo(100e-9 * siemens, 15);
  });
});

describe('a junction that holds charge', () => {
  it('discharges through a resistor as the integral of its law says', () => {
    // R·∫C dv/(E − v) with s = √(1 − v/V_J) and a² = 1 − E/V_J: t = 2·R·C_0/a·(artanh(a/s0) − artanh(a/s)).
    const [ohms, volts] = [1e6, 5];
    const circuit = network([resistor('R1', 'in', 'out', ohms), diode('D1', [GROUND, 'out'], LAYER)]);
    const rateHz = 4e6;
    const { output } = run(circuit, rateHz, new Float64Array(2000).fill(volts));
    const a = Math.sqrt(1 + volts / CHARGE.builtInV);
    const timeAt = (v: number) => {
      const s = Math.sqrt(1 + v / CHARGE.builtInV);
      return ((2 * ohms * LAYER.zeroBiasCapacitanceF) / a) * (Math.atanh(s / a) - Math.atanh(1 / a));
    };
    // The input jumps at the first sample; an implicit step takes it as a ramp over the step before, about half of it late.
    for (const n of [20, 50, 100, 200, 400]) {
      const late = Math.abs(timeAt(output[n]!) * rateHz - (n + 1));
      expect(late, `sample ${n}`).toBeLessThan(0.6);
    }
    const [early, later] = [timeAt(output[50]!), timeAt(output[400]!)];
    expect(Math.abs((later - early) * rateHz - 350)).toBeLessThan(0.02);
  });

  it('stores charge for T·ln(1 + I_F/I_R) after its current is reversed', () => {
    // R. Beaufoy, J. J. Sparkes, ATE Journal 13 (1957), 310, charge control without a depletion layer, from memory.
    const transitSeconds = 5e-6;
    const [ohms, forwardV, reverseV] = [1e6, 1e3, -2e3];
    const data = {
      ...SILICON,
      seriesOhms: 0,
      zeroBiasCapacitanceF: 1e-16,
      charge: { ...CHARGE, transitSeconds },
    };
    const circuit = network([resistor('R1', 'in', 'out', ohms), diode('D1', ['out', GROUND], data)]);
    const rateHz = 20e6;
    const length = 2000;
    const input = Float64Array.from({ length }, (_, n) => (n < 1000 ? forwardV : reverseV));
    const { output } = run(circuit, rateHz, input);
    const recovered = output.findIndex((volts, n) => n >= 1000 && volts < 0) - 1000;
    const stored = transitSeconds * Math.log(1 + 1 / 2);
    // One sample each for the edge and for the crossing.
    expect(Math.abs(recovered / rateHz - stored)).toBeLessThan(2 / rateHz);
  });

  it('has in the response the corner of its capacitance at the operating point', () => {
    const circuit = network([
      source('bias', 3.2),
      resistor('R1', 'in', 'out', 1e6),
      diode('D1', ['out', 'bias'], LAYER),
    ]);
    const farads = 50e-12 / Math.sqrt(3);
    const corner = 1 / (2 * Math.PI * 1e6 * farads);
    const { decibels, phaseDegrees } = new FrequencyResponse(circuit).at(corner, 'out');
    expect(decibels).toBeCloseTo(-3.0103, 3);
    expect(phaseDegrees).toBeCloseTo(-45, 2);
  });

  it('is at rest from the first sample on, also behind its series resistance', () => {
    const data = { ...SILICON, seriesOhms: 50, charge: { ...CHARGE, transitSeconds: 5e-6 } };
    const circuit = network([
      source('vcc', 9),
      resistor('R1', 'vcc', 'out', 1e3),
      resistor('R2', 'in', 'out', 1e6),
      diode('D1', ['out', GROUND], data),
    ]);
    const rest = operatingPoint(circuit).volts.get('out')!;
    const { output } = run(circuit, 384_000, new Float64Array(50));
    expect(peakOf(output.map((volts) => volts - rest))).toBeLessThan(1e-8);
  });

  it('keeps its voltage when its capacitance glides to another value', () => {
    const circuitWith = (farads: number) =>
      network([
        source('vcc', 9),
        resistor('R1', 'vcc', 'out', 1e6),
        resistor('R2', 'in', 'out', 1e6),
        diode('D1', [GROUND, 'out'], { ...LAYER, zeroBiasCapacitanceF: farads }),
      ]);
    const options = { sampleRateHz: 384_000 };
    const [before, after] = [circuitWith(20e-12), circuitWith(100e-12)];
    expect(circuitValues(after, options).structureKey).toBe(circuitValues(before, options).structureKey);
    const simulator = new CircuitSimulator(compileCircuit(before, options));
    simulator.setParameters(circuitNumbers(after, operatingPoint(after)).parameters, 0.01);
    const output = new Float64Array(8000);
    simulator.process(new Float64Array(8000), output, 8000);
    expect(peakOf(output.map((volts) => volts - output[0]!))).toBeLessThan(1e-9);
  });
});
