/** Where a cutoff frequency is looked for, Hz, and in how many steps a decade. */
const RANGE = { leastHz: 1e-4, mostHz: 1e7, perDecade: 12 };
const HALF_POWER_DB = 10 * Math.log10(2);
/** Bisections of a step of a twelfth of a decade, to a millionth of it. */
const BISECTIONS = 20;

/** Frequencies from one to another in equal ratios, both included, Hz. */
export function frequencySteps(leastHz: number, mostHz: number, perDecade: number): number[] {
  const steps = Math.ceil(perDecade * Math.log10(mostHz / leastHz));
  return Array.from({ length: steps + 1 }, (_, step) => leastHz * (mostHz / leastHz) ** (step / steps));
}

/** The frequencies at which a passband has to be known, from inside the passband outwards. */
export function cornerSteps(passband: 'above' | 'below'): readonly number[] {
  const hz = frequencySteps(RANGE.leastHz, RANGE.mostHz, RANGE.perDecade);
  return passband === 'above' ? hz.reverse() : hz;
}

/**
 * The first frequency outside a passband at which a gain is 3 dB under it, Hz; 0 or infinite if there is none in
 * 0.1 mHz to 10 MHz.
 *
 * @param hz From `cornerSteps`. @param passbandDb At these frequencies. @param gainDb Gain at a frequency.
 */
export function cornerOf(
  hz: readonly number[],
  passbandDb: readonly number[],
  gainDb: (hz: number) => number,
): number {
  const isOutside = (each: number, reference: number) => !(gainDb(each) > reference - HALF_POWER_DB);
  const end = hz.findIndex((each, place) => isOutside(each, passbandDb[place]!));
  const isUpwards = hz[0]! < hz.at(-1)!;
  if (end < 0) return isUpwards ? Number.POSITIVE_INFINITY : 0;
  if (end === 0) return isUpwards ? 0 : Number.POSITIVE_INFINITY;
  const start = Math.log(hz[end - 1]!);
  const width = Math.log(hz[end]!) - start;
  let inside = 0;
  let outside = 1;
  const at = (share: number) => Math.exp(start + share * width);
  for (let halving = 0; halving < BISECTIONS; halving++) {
    const middle = (inside + outside) / 2;
    const reference = passbandDb[end - 1]! + middle * (passbandDb[end]! - passbandDb[end - 1]!);
    if (isOutside(at(middle), reference)) outside = middle;
    else inside = middle;
  }
  return at((inside + outside) / 2);
}
