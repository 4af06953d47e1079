import { readJson } from '../../engine/input/json.ts';
import { keptTexts } from '../storage/kept-texts.ts';

/** A gain position of the interface, and what its full scale was measured to be there. */
export interface KeptCalibration {
  /** Name of the position, such as "gain at 10 o'clock". */
  readonly position: string;
  /** Peak volts at full scale. */
  readonly volts: number;
}

const NAME = 'calibrations';

/** The stored list, without damaged entries. */
export function loadCalibrations(): readonly KeptCalibration[] {
  const kept = readJson(keptTexts.read(NAME) ?? '');
  return Array.isArray(kept) ? kept.filter(isCalibration) : [];
}

/** Stores the list; if the browser stores nothing, it lasts for this visit. */
export function saveCalibrations(calibrations: readonly KeptCalibration[]): void {
  keptTexts.keep(NAME, JSON.stringify(calibrations));
}

/** The list with a new measurement of one position. */
export function withCalibration(
  calibrations: readonly KeptCalibration[],
  added: KeptCalibration,
): readonly KeptCalibration[] {
  return [...calibrations.filter(({ position }) => position !== added.position), added];
}

/**
 * Full scale of the interface from a tone that was read twice: V_fs = V_meter/r, where r is the RMS that
 * comes back as a share of full scale.
 *
 * @param meterVoltsRms Reading of the multimeter. @param returnedRms RMS in units of full scale.
 * @returns Peak volts at full scale, or undefined where the tone did not come back at a usable level.
 */
export function fullScaleVolts(meterVoltsRms: number, returnedRms: number): number | undefined {
  const isUsable = meterVoltsRms > 0 && returnedRms > 0.02 && returnedRms < 0.69;
  return isUsable ? meterVoltsRms / returnedRms : undefined;
}

function isCalibration(entry: unknown): entry is KeptCalibration {
  const { position, volts } = (entry ?? {}) as Partial<KeptCalibration>;
  return typeof position === 'string' && typeof volts === 'number' && volts > 0;
}
