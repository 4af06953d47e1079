import { type DiodeData, thermalVoltage } from '../network/network.ts';

/**
 * Forward voltage of `count` alike diodes in series at a given current, in closed form:
 *
 *   V = count·(n·V_T·ln(I/I_S + 1) + I·R_S)
 *
 * V. The minimum conductance that the solver puts across a junction is left out: 1 pA at 1 V. Saturation
 * current is that of the data at every temperature, as in the network's equation.
 *
 * @param currentA Above −I_S; NaN below, where a junction without breakdown has no voltage.
 * @see W. Shockley, Bell System Technical Journal 28 (1949), 435
 */
export function forwardVoltage(data: DiodeData, currentA: number, temperatureK: number, count = 1): number {
  const emissionV = data.emissionCoefficient * thermalVoltage(temperatureK);
  const junctionV = emissionV * Math.log1p(currentA / data.saturationCurrentA);
  return count * (junctionV + currentA * data.seriesOhms);
}
