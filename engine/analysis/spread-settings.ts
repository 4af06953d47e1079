import type { Build } from '../builds/build.ts';
import { PARTS_SET_LIMITS, type PartsSet, type Tolerances } from '../builds/parts-set.ts';
import type { Surroundings } from '../builds/surroundings.ts';
import { countedUniform, keyOf } from '../units/counted-normal.ts';
import { logarithmicFrequencies } from './frequency-response.ts';

/** What is varied: all parts of a build, or of all pedals of its chain, each in its own batches. */
export interface SpreadSettings {
  readonly build: Build;
  readonly around: Surroundings;
  /** Of the bench; from low to high, uniformly, where they differ. */
  readonly temperatureK: { readonly low: number; readonly high: number };
  readonly seed: number;
  readonly tolerances: Tolerances;
}

/** Frequencies of the response, Hz. */
export const SPREAD_HZ: readonly number[] = logarithmicFrequencies(20, 20_000, 60);
/** Where the level is stated, Hz: where a build clips from is stated there too. */
export const LEVEL_HZ = 1000;
/** A gain below this counts as this, dB: nothing gets through, whatever the parts. */
export const LEAST_GAIN_DB = -150;
/** The settings without parts sets that the builds have already. */
export function asPrinted(settings: SpreadSettings): SpreadSettings {
  const printed = ({ partsSet: _, ...build }: Build): Build => build;
  const { build, around } = settings;
  const { chain } = around;
  const others = chain && {
    ...chain,
    before: chain.before.map((pedal) => ({ ...pedal, build: printed(pedal.build) })),
    after: chain.after.map((pedal) => ({ ...pedal, build: printed(pedal.build) })),
  };
  return { ...settings, build: printed(build), around: { ...around, chain: others } };
}

/** The build, and its chain, with the parts of one set. */
export function withSet(settings: SpreadSettings, number: number): SpreadSettings {
  const { build, around, ...rest } = asPrinted(settings);
  const { chain } = around;
  const own = chain?.before.length ?? 0;
  const fitted = (of: Build, position: number): Build => ({
    ...of,
    partsSet: setIn(settings, number, position),
  });
  const others = chain && {
    ...chain,
    before: chain.before.map((pedal, index) => ({ ...pedal, build: fitted(pedal.build, index) })),
    after: chain.after.map((pedal, index) => ({ ...pedal, build: fitted(pedal.build, own + 1 + index) })),
  };
  return { ...rest, build: fitted(build, own), around: { ...around, chain: others } };
}

export function setIn({ seed, tolerances }: SpreadSettings, number: number, position: number): PartsSet {
  const isUsual = tolerances.resistor === undefined && tolerances.capacitor === undefined;
  return { seed: seedAt(seed, position), number, ...(!isUsual && { tolerances }) };
}

const PEDAL_KEY = keyOf('pedal');

/**
 * Each pedal of a chain has a seed of its own: the first that of the run, the others one drawn from it. Seeds of two runs that are
 * neighbours have no pedal in common; of any two pedals about one pair in a million does.
 */
function seedAt(seed: number, position: number): number {
  if (position === 0) return seed;
  return Math.floor(countedUniform(PEDAL_KEY, seed, position) * (PARTS_SET_LIMITS.seed.most + 1));
}

export function temperatureIn(settings: SpreadSettings, number: number): number {
  const { low, high } = settings.temperatureK;
  return high > low ? low + (high - low) * temperatureShare(settings, number) : low;
}

const TEMPERATURE_KEY = keyOf('temperature');

export function temperatureShare({ seed }: SpreadSettings, number: number): number {
  return countedUniform(TEMPERATURE_KEY, seed, number);
}
