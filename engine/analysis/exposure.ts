/** Sensitivity of headphones, from their data sheet. */
export interface HeadphoneSensitivity {
  readonly decibels: number;
  /** SPL at 1 V RMS, or at 1 mW into its impedance. */
  readonly per: 'volt' | 'milliwatt';
  /** Needed for milliwatts only. */
  readonly impedanceOhms: number;
}

/** Mode for adults: 80 dB(A) for 40 hours a week; 3 dB more halve the time. @see WHO/ITU-T H.870 (2018), table 1 */
const REFERENCE_DBA = 80;
const REFERENCE_SECONDS = 40 * 3600;

/**
 * Sound pressure level at 1 V RMS, dB. 1 V into R ohms is 1000/R milliwatts.
 *
 * @throws RangeError for an impedance that is not positive where it is needed, or a value that is not a number.
 */
export function levelAtOneVoltDb({ decibels, per, impedanceOhms }: HeadphoneSensitivity): number {
  if (!Number.isFinite(decibels)) throw new RangeError(`a sensitivity of ${decibels} dB is no number`);
  if (per === 'volt') return decibels;
  if (!(impedanceOhms > 0)) throw new RangeError(`a headphone of ${impedanceOhms} Ω does not exist`);
  return decibels + 10 * Math.log10(1000 / impedanceOhms);
}

/**
 * Level at the ear, dB(A).
 *
 * @param aWeightedV RMS of the A-weighted voltage at the headphones. −Infinity for silence.
 */
export function levelAtEarDb(aWeightedV: number, sensitivity: HeadphoneSensitivity): number {
  return levelAtOneVoltDb(sensitivity) + 20 * Math.log10(aWeightedV);
}

/**
 * Share of a week's allowance that a level uses up in a time (1: all of it), by equal energy:
 *
 *   dose = t/40 h · 10^((L − 80 dB)/10)
 *
 * @see WHO/ITU-T H.870 (2018)
 */
export function weeklyDose(levelDba: number, seconds: number): number {
  return (seconds / REFERENCE_SECONDS) * 10 ** ((levelDba - REFERENCE_DBA) / 10);
}

/** Time at a level after which a week's allowance is used up, seconds. */
export function weeklyAllowanceSeconds(levelDba: number): number {
  return REFERENCE_SECONDS / 10 ** ((levelDba - REFERENCE_DBA) / 10);
}
