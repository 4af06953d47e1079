import type { DiodeData } from '../network/network.ts';
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

/** Forward voltage at a current, as a datasheet limits it, V. */
export function forwardPoint(
  forwardA: number,
  figures: Pick<DatasheetPoint, 'minimum' | 'typical' | 'maximum'>,
  source: string,
): DatasheetPoint {
  return { quantity: 'forwardVoltageV', ...figures, at: { forwardA }, source };
}
