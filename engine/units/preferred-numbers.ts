/** Series of preferred numbers, named by their values per decade. */
export type PreferredSeries = 'E6' | 'E12' | 'E24' | 'E48' | 'E96' | 'E192';

/**
 * E24 is fixed by the standard, not by its formula: eight of its values (27 30 33 36 39 43 47 82) are not
 * the rounded powers of 10^(1/24). E12 and E6 are every second and fourth of it.
 */
const E24 = [
  100, 110, 120, 130, 150, 160, 180, 200, 220, 240, 270, 300, 330, 360, 390, 430, 470, 510, 560, 620, 680,
  750, 820, 910,
];

/** The one value of E192 that departs from its formula (919). From memory. */
const E192_EXCEPTION = { index: 185, value: 920 };

const VALUES: Readonly<Record<PreferredSeries, readonly number[]>> = {
  E6: E24.filter((_, index) => index % 4 === 0),
  E12: E24.filter((_, index) => index % 2 === 0),
  E24,
  E48: roundedPowers(48),
  E96: roundedPowers(96),
  E192: roundedPowers(192).map((value, index) =>
    index === E192_EXCEPTION.index ? E192_EXCEPTION.value : value,
  ),
};

/** A value within this ratio of one of the series counts as that; the finest steps are 1.2 %. */
const SAME_RATIO = 1e-6;

/** Values of one decade as three digits, 100 to below 1000, ascending. @see IEC 60063:2015 */
export function preferredValues(series: PreferredSeries): readonly number[] {
  return VALUES[series];
}

/**
 * Value of the series that is nearest by ratio: 5k becomes 4k7 in E6 (6 % off) rather than 6k8 (36 %).
 *
 * @param value In any unit. Throws RangeError unless positive and finite.
 */
export function nearestPreferred(value: number, series: PreferredSeries): number {
  const below = indexAtOrBelow(value, series);
  const lower = valueAt(below, series);
  const upper = valueAt(below + 1, series);
  return value / lower <= upper / value ? lower : upper;
}

/**
 * Value of the series so many steps up (negative: down). From a value between two of the series the first step
 * goes to the next one in that direction; zero steps go to the nearest.
 *
 * @param value In any unit. @param steps Whole number. Throws RangeError for anything else.
 */
export function stepPreferred(value: number, series: PreferredSeries, steps: number): number {
  if (!Number.isInteger(steps))
    throw new RangeError(`stepPreferred: ${steps} is not a whole number of steps`);
  if (steps === 0) return nearestPreferred(value, series);
  const below = indexAtOrBelow(value, series);
  const between = value / valueAt(below, series) > 1 + SAME_RATIO;
  return valueAt(below + steps + (between && steps < 0 ? 1 : 0), series);
}

function roundedPowers(perDecade: number): readonly number[] {
  return Array.from({ length: perDecade }, (_, index) => Math.round(100 * 10 ** (index / perDecade)));
}

/** Index, counted from 1 upwards in the series, of the last value that does not exceed `value`. */
function indexAtOrBelow(value: number, series: PreferredSeries): number {
  if (!(value > 0 && Number.isFinite(value))) {
    throw new RangeError(`preferred numbers: ${value} is not a positive value`);
  }
  // Starts a decade early, so that a rounded logarithm cannot overshoot.
  let index = (Math.floor(Math.log10(value)) - 1) * VALUES[series].length;
  while (valueAt(index + 1, series) <= value * (1 + SAME_RATIO)) index += 1;
  return index;
}

function valueAt(index: number, series: PreferredSeries): number {
  const values = VALUES[series];
  const decade = Math.floor(index / values.length);
  // By decimal text, so that 4.7 k is 4700 and 47 nF is the double nearest to 4.7e-8.
  return Number(`${values[index - decade * values.length]}e${decade - 2}`);
}
