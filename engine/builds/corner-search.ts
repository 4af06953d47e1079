/** Where a cutoff frequency is looked for, Hz, and in how many steps a decade. */
const RANGE = { leastHz: 1e-4, mostHz: 1e7, perDecade: 12 };
const HALF_POWER_DB = 10 * Math.log10(2);
/** Bisections of a step of a twelfth of a decade, to a millionth of it. */
const BISECTIONS = 20;
/** Points between two of those frequencies at which the reference is known; from one to the next it is nearly straight. */
const SUBSTEPS = 8;

/** Frequencies from one to another in equal ratios, both included, Hz. */
export function frequencySteps(leastHz: number, mostHz: number, perDecade: number): number[] {
  const steps = Math.ceil(perDecade * Math.log10(mostHz / leastHz));
  return Array.from({ length: steps + 1 }, (_, step) => leastHz * (mostHz / leastHz) ** (step / steps));
}

/**
 * The first frequency at which a level falls 3 dB under a reference, seen from inside the passband outwards, Hz; 0 or infinite
 * if there is none in 0.1 mHz to 10 MHz.
 *
 * @param referenceDb References at frequencies, all asked for at once. @param levelDb Level at a frequency.
 */
export function cornerOf(
  passband: 'above' | 'below',
  referenceDb: (hz: readonly number[]) => readonly number[],
  levelDb: (hz: number) => number,
): number {
  const upwards = frequencySteps(RANGE.leastHz, RANGE.mostHz, RANGE.perDecade);
  const hz = passband === 'above' ? upwards.reverse() : upwards;
  const isOutside = (each: number, reference: number) => !(levelDb(each) > reference - HALF_POWER_DB);
  const references = referenceDb(hz);
  const end = hz.findIndex((each, place) => isOutside(each, references[place]!));
  if (end < 1) return end < 0 === (passband === 'above') ? 0 : Number.POSITIVE_INFINITY;
  const start = Math.log(hz[end - 1]!);
  const width = Math.log(hz[end]!) - start;
  const at = (share: number) => Math.exp(start + share * width);
  const within = referenceDb(Array.from({ length: SUBSTEPS + 1 }, (_, step) => at(step / SUBSTEPS)));
  let inside = 0;
  let outside = 1;
  for (let halving = 0; halving < BISECTIONS; halving++) {
    const middle = (inside + outside) / 2;
    if (isOutside(at(middle), between(within, middle))) outside = middle;
    else inside = middle;
  }
  return at((inside + outside) / 2);
}

/** The value at a share of a list, on a straight line from one entry to the next. */
function between(values: readonly number[], share: number): number {
  const place = share * (values.length - 1);
  const before = Math.floor(place);
  return values[before]! + (place - before) * (values[before + 1]! - values[before]!);
}
