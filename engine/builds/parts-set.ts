import { isRecord } from '../input/json.ts';
import { shownValue } from '../input/shown-text.ts';
import type { BuildProblem } from './build-error.ts';

/** One of all sets of parts with which a build could be soldered, by its number. The same number is always the same set. */
export interface PartsSet {
  /** Of a run, or drawn from it for the further pedals of a chain; two seeds have no set in common. */
  readonly seed: number;
  readonly number: number;
  readonly tolerances?: Tolerances;
}

/** Limits of value of the parts, as shares; absent for the usual ones of `typeSpread`. */
export interface Tolerances {
  readonly resistor?: number;
  /** Of film and ceramic ones; electrolytics keep theirs. */
  readonly capacitor?: number;
}

export const PARTS_SET_LIMITS = {
  seed: { least: 0, most: 1_000_000 },
  number: { least: 1, most: 1_000_000 },
  /** Of a tolerance: 0.1 % are the closest parts that are sold to builders, 20 % the widest. */
  tolerance: { least: 0.001, most: 0.2 },
} as const;

/** "parts set 4711". */
export function partsSetText(set: PartsSet): string {
  return `parts set ${partsSetName(set)}`;
}

/** "4711", with the seed where it is not the usual one. */
export function partsSetName({ seed, number }: PartsSet): string {
  return `${number}${seed === USUAL_SEED ? '' : ` of seed ${seed}`}`;
}

export const USUAL_SEED = 1;

/** Reads the set of a build file; undefined, and a problem, for anything else. */
export function readPartsSet(value: unknown, problems: BuildProblem[]): PartsSet | undefined {
  const refuse = (path: string, message: string): undefined => {
    problems.push({ code: 'wrong-shape', path, message });
    return undefined;
  };
  if (!isRecord(value))
    return refuse('partsSet', `"partsSet" is ${shownValue(value)}; it should be an object.`);
  const { seed, number, tolerances = {}, ...others } = value;
  const [unknown] = Object.keys(others);
  if (unknown !== undefined) return refuse('partsSet', '"partsSet" has seed, number and tolerances alone.');
  for (const [name, each] of Object.entries({ seed, number })) {
    const { least, most } = PARTS_SET_LIMITS[name as 'seed' | 'number'];
    if (!(Number.isInteger(each) && (each as number) >= least && (each as number) <= most))
      return refuse(
        `partsSet.${name}`,
        `"partsSet.${name}" is ${shownValue(each)}; it should be a whole number from ${least} to ${most}.`,
      );
  }
  const read = readTolerances(tolerances);
  if (!read)
    return refuse('partsSet.tolerances', 'The tolerances of "partsSet" are shares from 0.001 to 0.2.');
  const isUsual = Object.keys(read).length === 0;
  return { seed: seed as number, number: number as number, ...(!isUsual && { tolerances: read }) };
}

function readTolerances(value: unknown): Tolerances | undefined {
  if (!isRecord(value)) return undefined;
  const { least, most } = PARTS_SET_LIMITS.tolerance;
  const isGood = Object.entries(value).every(
    ([name, share]) =>
      (name === 'resistor' || name === 'capacitor') &&
      typeof share === 'number' &&
      share >= least &&
      share <= most,
  );
  return isGood ? (value as Tolerances) : undefined;
}
