import type { DiodeData } from '../devices/diode.ts';
import type { JunctionThermal } from '../devices/junction.ts';
import type { DatasheetPoint } from './catalogue-entry.ts';

/** Model card: saturation current A, emission coefficient, series resistance Ω, zero-bias capacitance F, conductance of the leak S. */
export function card(
  saturationCurrentA: number,
  emissionCoefficient: number,
  seriesOhms: number,
  zeroBiasCapacitanceF: number,
  leakageS = 0,
): DiodeData {
  const junction = { saturationCurrentA, emissionCoefficient, seriesOhms, zeroBiasCapacitanceF };
  return leakageS === 0 ? junction : { ...junction, leakageS };
}

/** Energy gap of germanium, 0.67 eV (Sze, Physics of Semiconductor Devices, from memory). */
const GERMANIUM: JunctionThermal = { by: 'gap', energyGapEv: 0.67, saturationExponent: 3 };
/** Schottky: the barrier to the metal stands for the gap; 0.69 eV and exponent 2 are the usual values, from memory. */
export const SCHOTTKY_THERMAL: JunctionThermal = { by: 'gap', energyGapEv: 0.69, saturationExponent: 2 };

/** {@link card} of a germanium junction. */
export function germaniumCard(...numbers: Parameters<typeof card>): DiodeData {
  return { ...card(...numbers), thermal: GERMANIUM };
}

/** {@link card} of a Schottky junction. */
export function schottkyCard(...numbers: Parameters<typeof card>): DiodeData {
  return { ...card(...numbers), thermal: SCHOTTKY_THERMAL };
}

/** Limit of the forward voltage at a current, V. */
export function forwardPoint(
  forwardA: number,
  figures: Pick<DatasheetPoint, 'minimum' | 'typical' | 'maximum'>,
  source: string,
): DatasheetPoint {
  return { quantity: 'forwardVoltageV', ...figures, at: { forwardA }, source };
}
