import type { DiodeData } from '../network/network.ts';

/** Model card: saturation current A, emission coefficient, series resistance Ω, zero-bias capacitance F. */
export function card(
  saturationCurrentA: number,
  emissionCoefficient: number,
  seriesOhms: number,
  zeroBiasCapacitanceF: number,
): DiodeData {
  return { saturationCurrentA, emissionCoefficient, seriesOhms, zeroBiasCapacitanceF };
}
