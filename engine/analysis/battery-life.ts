/**
 * Charge that an alkaline 9 V battery (6LR61) gives until it has 7 V, Ah, at the few milliamperes of a pedal; from memory, makes
 * differ by a third. Zinc-carbon has about half.
 */
export const ALKALINE_AH = 0.4;

/** Below this a battery ends by its age, and a pedal that draws so little is not whole, A. */
export const LEAST_DRAW_A = 10e-6;
/** From memory: alkaline batteries keep for some years, and nobody measured more in a pedal. */
const LONGEST_HOURS = 2000;

/** "An alkaline 9 V battery lasts about 110 h, until it has 7 V."; beyond what is known only that. */
export function lifeText(hours: number): string {
  const long =
    hours > LONGEST_HOURS ? `more than ${LONGEST_HOURS} h` : `about ${Number(hours.toPrecision(2))} h`;
  return `An alkaline 9 V battery lasts ${long}, until it has 7 V.`;
}

/** How long a battery lasts, hours. @param freshA,flatA What the pedal draws at the beginning and at the end. */
export function batteryHours(freshA: number, flatA: number): number {
  return ALKALINE_AH / ((freshA + flatA) / 2);
}
