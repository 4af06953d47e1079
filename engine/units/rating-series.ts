/**
 * Ratings in which parts are sold, and how much of them a part should see. The margins are common practice, no source.
 */

/** Rated voltages of capacitors, V: the R5 series of ISO 3 with 35 V for its 40, and 50 V beside it; from memory. */
const RATED_V = [6.3, 10, 16, 25, 35, 50, 63, 100, 160, 250, 400, 630];
/** Rated powers of leaded resistors, W; from memory. */
const RATED_W = [0.25, 0.5, 1, 2, 3, 5];

/** A capacitor is rated for this many times the highest voltage that it sees. */
export const VOLTAGE_MARGIN = 1.25;
/** A resistor is rated for this many times the power that it turns into heat. */
export const POWER_MARGIN = 2;

/** The smallest leaded resistors, W: what is owned may be such ones, what is ordered is larger. */
export const SMALLEST_W = 0.125;

/** The lowest rated voltage for the highest voltage that a capacitor sees, V; undefined above all of them. */
export function ratedVolts(volts: number): number | undefined {
  return RATED_V.find((rated) => rated >= VOLTAGE_MARGIN * volts);
}

/** The lowest rated power for the power that a resistor turns into heat, W; undefined above all of them. */
export function ratedWatts(watts: number): number | undefined {
  return RATED_W.find((rated) => rated >= POWER_MARGIN * watts);
}
