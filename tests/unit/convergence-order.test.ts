import { describe, expect, it } from 'vitest';
import type { DiodeData } from '../../engine/devices/diode.ts';
import { GROUND } from '../../engine/devices/node.ts';
import { NOMINAL_TEMPERATURE_K, thermalVoltage } from '../../engine/devices/physics.ts';
import type { Network } from '../../engine/network/network.ts';
import { compileCircuit } from '../../engine/solver/compile.ts';
import { capacitor, differenceOf, diode, inductor, network, resistor, run } from './small-networks.ts';

/**
 * The solver's integration is of third order: with half the step the error is an eighth, 18 dB less. The test compares
 * it with answers in closed form, for inputs that begin smoothly, (1 − cos ωt)², because a kink has its own order.
 */
const OMEGA = 2 * Math.PI * 1000;
const SECONDS = 4e-3;
const RATES_HZ = [192e3, 384e3, 768e3];
const ORDER_DB = 20 * Math.log10(8);
/** The tolerance on 18 dB: the next term of the error is a quarter of the first at the coarsest step. */
const ROOM_DB = 1.2;

interface Case {
  readonly circuit: Network;
  readonly inputV: (t: number) => number;
  readonly outputV: (t: number) => number;
}

function expectThirdOrder({ circuit, inputV, outputV }: Case): void {
  const errors = RATES_HZ.map((rateHz) => {
    const sampled = (signal: (t: number) => number) =>
      Float64Array.from({ length: Math.round(SECONDS * rateHz) }, (_, n) => signal(n / rateHz));
    return differenceOf(run(circuit, rateHz, sampled(inputV)).output, sampled(outputV));
  });
  for (const [index, error] of errors.slice(1).entries()) {
    const fallDb = 20 * Math.log10(errors[index]! / error);
    expect(Math.abs(fallDb - ORDER_DB), `${errors.join(', ')} V`).toBeLessThan(ROOM_DB);
  }
}

/** (1 − cos ωt)² = 3/2 − 2·cos ωt + ½·cos 2ωt: the weights of 1, cos ωt, cos 2ωt. */
const WEIGHTS = [1.5, -2, 0.5];
const smooth = (t: number) => (1 - Math.cos(OMEGA * t)) ** 2;

/** A complex number. */
type Complex = readonly [re: number, im: number];
const times = ([a, b]: Complex, [c, d]: Complex): Complex => [a * c - b * d, a * d + b * c];
const over = (a: Complex, [c, d]: Complex): Complex => times(a, [c / (c * c + d * d), -d / (c * c + d * d)]);
const plus = ([a, b]: Complex, [c, d]: Complex): Complex => [a + c, b + d];
const exponential = ([a, b]: Complex): Complex => [Math.exp(a) * Math.cos(b), Math.exp(a) * Math.sin(b)];

/**
 * Response from rest to the smooth input, of a system k/∏(s − p), by partial fractions. The response to e^(jkωt) is
 * k·Σ e^(qt)/∏(q − other) over the poles q of the system and of the input.
 */
function answer(gain: number, poles: readonly Complex[]): (t: number) => number {
  return (t) =>
    WEIGHTS.reduce((sum, weight, k) => {
      const all: Complex[] = [...poles, [0, k * OMEGA]];
      const terms = all.map((pole, index) =>
        all.reduce<Complex>(
          (term, [re, im], other) => (other === index ? term : over(term, [pole[0] - re, pole[1] - im])),
          exponential([pole[0] * t, pole[1] * t]),
        ),
      );
      return sum + weight * gain * terms.reduce(plus)[0];
    }, 0);
}

describe('the integration is of third order', () => {
  it('for R and C', () => {
    const tau = 1e-4;
    expectThirdOrder({
      circuit: network([resistor('R1', 'in', 'out', 1e4), capacitor('C1', 'out', GROUND, tau / 1e4)]),
      inputV: smooth,
      outputV: answer(1 / tau, [[-1 / tau, 0]]),
    });
  });

  it('for a rail, which is constant within a sample and advanced after it', () => {
    const [ohms, farads] = [1e3, 1e-6];
    const circuit = network(
      [
        resistor('R1', 'in', 'bias', ohms),
        capacitor('C1', 'bias', GROUND, farads),
        resistor('R2', 'bias', 'out', ohms / 2),
        resistor('R3', 'out', GROUND, ohms / 2),
      ],
      { rails: ['bias'] },
    );
    expect(compileCircuit(circuit, { sampleRateHz: RATES_HZ[0]! }).rails).toHaveLength(1);
    // Half of C·dv/dt = (v_in − v)/R − v/R.
    const perS = 1 / (ohms * farads);
    expectThirdOrder({ circuit, inputV: smooth, outputV: answer(perS / 2, [[-2 * perS, 0]]) });
  });

  it('for R, L and C, ringing at 2 kHz with Q = 2', () => {
    const [resonance, q, henries] = [2 * OMEGA, 2, 0.1];
    const [decay, ringing] = [resonance / (2 * q), resonance * Math.sqrt(1 - 1 / (4 * q * q))];
    expectThirdOrder({
      circuit: network([
        resistor('R1', 'in', 'a', (resonance * henries) / q),
        inductor('L1', 'a', 'out', henries),
        capacitor('C1', 'out', GROUND, 1 / (resonance * resonance * henries)),
      ]),
      inputV: smooth,
      outputV: answer(resonance * resonance, [
        [-decay, ringing],
        [-decay, -ringing],
      ]),
    });
  });

  it('for a diode clipper: the input is calculated for a chosen output', () => {
    const data: DiodeData = {
      saturationCurrentA: 2.52e-9,
      emissionCoefficient: 1.752,
      seriesOhms: 0,
      zeroBiasCapacitanceF: 0,
    };
    const [ohms, farads] = [2200, 10e-9];
    const volts = (t: number) => 0.15 * smooth(t);
    const voltsPerS = (t: number) => 0.3 * OMEGA * (1 - Math.cos(OMEGA * t)) * Math.sin(OMEGA * t);
    const efoldV = data.emissionCoefficient * thermalVoltage(NOMINAL_TEMPERATURE_K);
    // Two antiparallel diodes: i = 2·I_S·sinh(v/nV_T), 1.4 mA at the peak of 0.6 V.
    const diodesA = (v: number) => 2 * data.saturationCurrentA * Math.sinh(v / efoldV);
    expectThirdOrder({
      circuit: network([
        resistor('R1', 'in', 'out', ohms),
        capacitor('C1', 'out', GROUND, farads),
        diode('D1', ['out', GROUND], data),
        diode('D2', [GROUND, 'out'], data),
      ]),
      inputV: (t) => volts(t) + ohms * (farads * voltsPerS(t) + diodesA(volts(t))),
      outputV: volts,
    });
  });
});
