import type { Build, PartSetting } from '../builds/build.ts';
import { networkWithin, type PlayedConditions } from '../builds/surroundings.ts';
import type { CapacitanceEnd } from '../parts/diode-capacitance.ts';
import { largestChange, type ResponseChange } from './response-change.ts';

/** A guitar speaker passes little above this, Hz; common practice, no source. */
export const SPEAKER_HZ = 6000;

/**
 * What the high end of an LED's capacitance changes against the low end, with what else is in the build and around it and the knobs
 * where they stand. For a small signal, in which it does not conduct; where it clips, the change is smaller.
 *
 * @throws NetworkError, OperatingPointError.
 */
export function capacitanceRangeEffect(
  build: Build,
  ref: string,
  { temperatureK, around }: PlayedConditions,
): ResponseChange {
  const at = (capacitance: CapacitanceEnd) => {
    const setting: PartSetting = { ...build.parts[ref]!, capacitance };
    return networkWithin({ ...build, parts: { ...build.parts, [ref]: setting } }, temperatureK, around);
  };
  return largestChange(at('low'), at('high'), SPEAKER_HZ);
}
