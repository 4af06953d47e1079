/** 0 dBu: the voltage that puts 1 mW into 600 Ω, √0.6 = 0.774597 V RMS. */
export const DBU_REFERENCE_V = Math.sqrt(0.6);

/** 20·log10 of a ratio of amplitudes, dB; −Infinity for 0, NaN for a negative ratio. Real-time safe. */
export function ratioToDb(ratio: number): number {
  return 20 * Math.log10(ratio);
}

/** Ratio of amplitudes, 10^(dB/20). Real-time safe. */
export function dbToRatio(decibels: number): number {
  return 10 ** (decibels / 20);
}

/** Level of an RMS voltage against 0.774597 V, dBu. */
export function voltsToDbu(voltsRms: number): number {
  return ratioToDb(voltsRms / DBU_REFERENCE_V);
}

/** RMS voltage of a level in dBu, V. */
export function dbuToVolts(dbu: number): number {
  return DBU_REFERENCE_V * dbToRatio(dbu);
}

/** Level of an RMS voltage against 1 V, dBV. */
export function voltsToDbv(voltsRms: number): number {
  return ratioToDb(voltsRms);
}

/** RMS voltage of a level in dBV, V. */
export function dbvToVolts(dbv: number): number {
  return dbToRatio(dbv);
}
