import { describe, expect, it } from 'vitest';
import type { BjtData } from '../../engine/devices/bipolar.ts';
import type { DiodeData } from '../../engine/devices/diode.ts';
import { NOMINAL_TEMPERATURE_K, thermalVoltage } from '../../engine/devices/physics.ts';
import type { Primitive } from '../../engine/network/network.ts';
import { NodalSystem } from '../../engine/solver/nodal-system.ts';
import { bipolar, diode, network, resistor } from './small-networks.ts';

const VT = thermalVoltage(NOMINAL_TEMPERATURE_K);
const SATURATION_A = 1e-14;
/** The voltage where a junction's current has its sharpest bend in a linear plot, n = 1: V_T·ln(V_T/(√2·I_S)). */
const CRITICAL_V = VT * Math.log(VT / (Math.SQRT2 * SATURATION_A));
const DIODE: DiodeData = {
  saturationCurrentA: SATURATION_A,
  emissionCoefficient: 1,
  seriesOhms: 1,
  zeroBiasCapacitanceF: 0,
};
const BJT: BjtData = { saturationCurrentA: SATURATION_A, forwardBeta: 100, reverseBeta: 1, earlyV: 100 };

/** The allowed fraction of a step, for a part whose nodes are at `volts` and would change by `steps`. */
function shareOf(part: Primitive, volts: readonly number[], steps: readonly number[]): number {
  const system = new NodalSystem(
    network([resistor('R1', 'in', part.nodes[0]!, 1e3), part], { output: 'in' }),
  );
  const v = new Float64Array(system.size);
  const step = new Float64Array(system.size);
  part.nodes.forEach((node, index) => {
    v[system.indexOf(node)] = volts[index]!;
    step[system.indexOf(node)] = steps[index]!;
  });
  return system.limitedShare(v, step);
}

// Nagel's rule (UCB/ERL M520, 1975), from memory: above the critical voltage, a forward step of more than
// 2·n·V_T is shortened so that the current changes by the linearised amount, n·V_T·ln(1 + Δ/(n·V_T)).
describe('the step of a junction', () => {
  const conducting = CRITICAL_V + 0.05;
  const byHalfAVolt = (VT * Math.log1p(0.5 / VT)) / 0.5;

  it.each([
    ['anode', 0, [0.5, 0]],
    ['cathode', 0, [0, -0.5]],
    ['both ends, a common voltage beneath', 3, [0.75, 0.25]],
    ['both ends, below ground', -7, [0.2, -0.3]],
  ])('is limited to the logarithm where it conducts: %s', (_, common, steps) => {
    const part = diode('D1', ['a', 'k'], DIODE);
    expect(shareOf(part, [common + conducting, common], steps)).toBeCloseTo(byHalfAVolt, 12);
  });

  it('is limited from two thermal voltages below the critical voltage up if the junction does not conduct yet', () => {
    const part = diode('D1', ['a', 'k'], DIODE);
    const from = CRITICAL_V - 2 * VT;
    for (const [before, change] of [
      [-2, 5],
      [0, 1],
      [0.4, 0.5],
    ] as const) {
      const reached = from + VT * Math.log1p((before + change - from) / VT);
      expect(shareOf(part, [before, 0], [change, 0]), `${before} V`).toBeCloseTo(
        (reached - before) / change,
        12,
      );
    }
  });

  it('is not shortened if it goes back, stays below the critical voltage or is small', () => {
    const part = diode('D1', ['a', 'k'], DIODE);
    expect(shareOf(part, [conducting, 0], [-3, 0])).toBe(1);
    expect(shareOf(part, [conducting, 0], [0, 3])).toBe(1);
    expect(shareOf(part, [-5, 0], [5 + CRITICAL_V - 0.001, 0])).toBe(1);
    expect(shareOf(part, [conducting, 0], [1.99 * VT, 0])).toBe(1);
  });

  it('follows the rule for both junctions of a transistor, with opposite signs for a PNP', () => {
    for (const [kind, sign] of [
      ['npn', 1],
      ['pnp', -1],
    ] as const) {
      const part = bipolar(kind, 'Q1', ['c', 'b', 'e'], BJT);
      const mirrored = (volts: readonly number[]) => volts.map((value) => sign * value);
      const toEmitter = [
        [5, conducting, 0],
        [0, 0.5, 0],
      ] as const;
      const toCollector = [
        [0, conducting, 5],
        [0, 0.5, 0],
      ] as const;
      for (const [volts, steps] of [toEmitter, toCollector]) {
        expect(shareOf(part, mirrored(volts), mirrored(steps)), kind).toBeCloseTo(byHalfAVolt, 12);
        expect(shareOf(part, mirrored(volts), mirrored(steps.map((value) => -value))), kind).toBe(1);
      }
    }
  });
});
