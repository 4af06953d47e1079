import type { DiodeData } from '../devices/diode.ts';
import type { JunctionThermal } from '../devices/junction.ts';
import { NOMINAL_TEMPERATURE_K, thermalVoltage } from '../devices/physics.ts';

/** A point of a forward curve. */
export interface CurvePoint {
  readonly currentA: number;
  readonly voltageV: number;
}

/** Data of a junction without a model card: a light-emitting diode, or a Zener in breakdown. */
export interface JunctionCurve {
  /** Rise of the voltage for 10 times the current, where the series resistance does not matter yet, V. */
  readonly voltsPerDecade: number;
  readonly seriesOhms: number;
  readonly zeroBiasCapacitanceF: number;
  readonly points: readonly CurvePoint[];
  /** How it changes with temperature. */
  readonly thermal: JunctionThermal;
}

/**
 * Diode data with the given slope and series resistance and the least-squares offset to the points, at 27 °C:
 *
 *   n = s/(V_T·ln 10)     ln I_S = mean(ln I − (V − I·R_S)/(n·V_T))
 *
 * The 1 in Shockley's equation is neglected: at the points it is I_S/I, one part in 10^4 or less for what is fitted.
 */
export function fitJunction(curve: JunctionCurve): DiodeData {
  const emissionV = curve.voltsPerDecade / Math.LN10;
  let sum = 0;
  for (const { currentA, voltageV } of curve.points) {
    sum += Math.log(currentA) - (voltageV - currentA * curve.seriesOhms) / emissionV;
  }
  return {
    saturationCurrentA: Math.exp(sum / curve.points.length),
    emissionCoefficient: emissionV / thermalVoltage(NOMINAL_TEMPERATURE_K),
    seriesOhms: curve.seriesOhms,
    zeroBiasCapacitanceF: curve.zeroBiasCapacitanceF,
    thermal: curve.thermal,
  };
}
