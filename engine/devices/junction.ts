import {
  absolute,
  add,
  choose,
  divide,
  exponential,
  type Formula,
  greater,
  less,
  logarithm,
  multiply,
  number,
  subtract,
  type Usual,
  withSlope,
} from './formula.ts';
import { BOLTZMANN_J_PER_K, ELEMENTARY_CHARGE_C, NOMINAL_TEMPERATURE_K, thermalVoltage } from './physics.ts';

/**
 * Below the first of these arguments e^x is negligible beside 1; above the second it continues as its tangent. A white LED
 * at -10 °C, I_S = 1e-40 A, carries its 20 mA at 88.
 */
const [EXP_LEAST, EXP_MOST] = [-40, 100];

/**
 * e^x in the range of a junction. Above it, the tangent, so that no iteration of Newton's method overflows.
 * Below it, 0: a junction that blocks, as most do most of the time, needs no exponential.
 */
function boundedExponential(x: Formula, usual: Usual): Formula {
  const fromMiddle = absolute(subtract(x, number((EXP_LEAST + EXP_MOST) / 2)));
  const isWithin = less(fromMiddle, number((EXP_MOST - EXP_LEAST) / 2));
  const within = (inside: Formula, above: Formula) =>
    choose(isWithin, inside, choose(less(x, number(EXP_MOST)), number(0), above, 'then'), usual);
  const most = number(Math.exp(EXP_MOST));
  const tangent = multiply(subtract(x, number(EXP_MOST - 1)), most);
  return withSlope(within(exponential(x), tangent), x, within(exponential(x), most));
}

/**
 * Current of a junction, i = I_S·(e^(v/nV_T) − 1).
 *
 * @param usual 'then' if it conducts most of the time, 'otherwise' if it blocks.
 * @see W. Shockley, Bell System Technical Journal 28 (1949), 435
 */
export function junctionCurrent(
  v: Formula,
  saturationA: Formula,
  emissionV: Formula,
  usual: 'then' | 'otherwise',
): Formula {
  return multiply(subtract(boundedExponential(divide(v, emissionV), usual), number(1)), saturationA);
}

/**
 * A step of Newton's method, limited to what the exponential of a junction can follow.
 *
 * @param polarity −1 where the junction conducts against the sign of `v`.
 * @see L. W. Nagel, UCB/ERL M520 (1975), junction voltage limiting
 */
export function limitedJunctionStep(
  v: Formula,
  step: Formula,
  saturationA: Formula,
  emissionV: Formula,
  polarity: 1 | -1,
): Formula {
  const before = multiply(v, number(polarity));
  const change = multiply(step, number(polarity));
  const criticalV = multiply(
    logarithm(divide(emissionV, multiply(saturationA, number(Math.SQRT2)))),
    emissionV,
  );
  const fromBefore = multiply(logarithm(add(divide(change, emissionV), number(1))), emissionV);
  const fromZero = subtract(multiply(logarithm(divide(add(before, change), emissionV)), emissionV), before);
  const allowed = multiply(choose(greater(before, number(0)), fromBefore, fromZero), number(polarity));
  const isFar = greater(add(before, change), criticalV);
  return choose(
    greater(change, multiply(emissionV, number(2))),
    choose(isFar, allowed, step, 'otherwise'),
    step,
    'otherwise',
  );
}

/**
 * How a junction changes with temperature: energy gap E_g and exponent X of its saturation current or, in
 * breakdown, a shift of the whole curve.
 */
export type JunctionThermal =
  | { readonly by: 'gap'; readonly energyGapEv: number; readonly saturationExponent: number }
  | { readonly by: 'breakdown'; readonly voltsPerK: number };

/** Silicon, the default: E_g = 1.11 eV and X = 3 are the usual values of the saturation current's temperature law. */
export const SILICON = { by: 'gap', energyGapEv: 1.11, saturationExponent: 3 } as const;

/**
 * I_S(T)/I_S(T0) of a junction, T0 = 27 °C:
 *
 *   I_S' = I_S·(T/T0)^(X/n)·exp(−(E_g/(n·k))·(1/T − 1/T0)),   so dV/dT = (V − E_g − X·V_T)/T
 *
 * @see L. W. Nagel, UCB/ERL M520 (1975), temperature dependence. X and E_g are divided by n, as usual in the
 * saturation current's temperature law: without it a junction with n = 1.75 would fall by 5 mV/K instead of 2
 */
export function saturationGrowth(
  { energyGapEv, saturationExponent }: Extract<JunctionThermal, { by: 'gap' }>,
  emissionCoefficient: number,
  temperatureK: number,
): number {
  const gapK = (energyGapEv * ELEMENTARY_CHARGE_C) / BOLTZMANN_J_PER_K;
  const exponent = (gapK / emissionCoefficient) * (1 / NOMINAL_TEMPERATURE_K - 1 / temperatureK);
  return (
    (temperatureK / NOMINAL_TEMPERATURE_K) ** (saturationExponent / emissionCoefficient) * Math.exp(exponent)
  );
}

/** Sum of the two opposite currents across a junction, I_S·exp(v/V_T) and I_S, A. */
export function opposedCurrents(saturationA: number, volts: number, temperatureK: number): number {
  return saturationA * (Math.exp(volts / thermalVoltage(temperatureK)) + 1);
}
