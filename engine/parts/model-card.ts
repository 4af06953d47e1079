import type { DiodeData } from '../devices/diode.ts';
import type { JunctionThermal } from '../devices/junction.ts';
import type { DatasheetPoint } from './catalogue-entry.ts';

/** Model card: saturation current A, emission coefficient, series resistance Ω, zero-bias capacitance F. */
export function card(
  saturationCurrentA: number,
  emissionCoefficient: number,
  seriesOhms: number,
  zeroBiasCapacitanceF: number,
): DiodeData {
  return { saturationCurrentA, emissionCoefficient, seriesOhms, zeroBiasCapacitanceF };
}

/** Gap of germanium, EG of SPICE's germanium diodes: 0.67 eV (Sze, Physics of Semiconductor Devices, from memory). */
const GERMANIUM: JunctionThermal = { by: 'gap', energyGapEv: 0.67, saturationExponent: 3 };
/** What carriers climb is the barrier of the metal: EG 0.69 and XTI 2 of the SPICE manuals. */
export const SCHOTTKY_THERMAL: JunctionThermal = { by: 'gap', energyGapEv: 0.69, saturationExponent: 2 };

/** {@link card} of a germanium junction. */
export function germaniumCard(...numbers: Parameters<typeof card>): DiodeData {
  return { ...card(...numbers), thermal: GERMANIUM };
}

/** {@link card} of a Schottky junction. */
export function schottkyCard(...numbers: Parameters<typeof card>): DiodeData {
  return { ...card(...numbers), thermal: SCHOTTKY_THERMAL };
}

/** Forward voltage at a current, as a datasheet limits it, V. */
export function forwardPoint(
  forwardA: number,
  figures: Pick<DatasheetPoint, 'minimum' | 'typical' | 'maximum'>,
  source: string,
): DatasheetPoint {
  return { quantity: 'forwardVoltageV', ...figures, at: { forwardA }, source };
}
