import { diodeDataAt } from '../devices/diode.ts';
import { forwardVoltage } from './diode-curve.ts';
import type { CurvePoint } from './junction-fit.ts';
import { diodeEntry } from './part-types.ts';
import { likeTypes } from './piece-fit.ts';

/** The diode type whose voltages are nearest to the points, least squares; of types with the same data the first. */
export function nearestDiodeType(points: readonly CurvePoint[], temperatureK: number): string {
  const missOf = (type: string) => {
    const data = diodeDataAt(diodeEntry(type).data, temperatureK);
    return Math.hypot(
      ...points.map(({ currentA, voltageV }) => forwardVoltage(data, currentA, temperatureK) - voltageV),
    );
  };
  const ranked = likeTypes('diode').map((type) => ({ type, miss: missOf(type) }));
  return ranked.reduce((one, other) => (other.miss < one.miss ? other : one)).type;
}
