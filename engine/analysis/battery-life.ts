/**
 * Charge that an alkaline 9 V battery (6LR61) gives until it has 7 V, Ah, at the few milliamperes of a pedal; from memory, makes
 * differ by a third. Zinc-carbon has about half.
 */
export const ALKALINE_AH = 0.4;

/** How long a battery lasts, hours. @param freshA,flatA What the pedal draws at the beginning and at the end. */
export function batteryHours(freshA: number, flatA: number): number {
  return ALKALINE_AH / ((freshA + flatA) / 2);
}
