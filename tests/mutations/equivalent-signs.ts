import type { SignMutation } from './sign-mutations.ts';

interface Place {
  readonly file: string;
  readonly mutation: SignMutation;
}

interface Equivalent {
  readonly file: string;
  /** Line of the source and the text that is flipped; all signs of the line that read so. */
  readonly context: string;
  readonly before: string;
  readonly reason: string;
}

/** Signs whose flip changes nothing that could be asked of the solver, each with its reason. */
const EQUIVALENTS: readonly Equivalent[] = [
  {
    file: 'engine/solver/emit/emit-device.ts',
    context: 'set(subtract(beyond, double(1)), atMost);',
    before: 'subtract',
    reason: 'beyond is e^60 or more, 1e26, and the 1 less than its rounding',
  },
];

/** Why the flip changes nothing; undefined where it must be caught. */
export function equivalenceOf(place: Place): string | undefined {
  return EQUIVALENTS.find((equivalent) => isOf(equivalent, place))?.reason;
}

/** What stands in the list for lines that are no longer in their source. */
export function unusedEquivalents(places: readonly Place[]): string[] {
  const files = new Set(places.map(({ file }) => file));
  return EQUIVALENTS.filter(
    (equivalent) => files.has(equivalent.file) && !places.some((place) => isOf(equivalent, place)),
  ).map(({ file, context }) => `${file}: ${context}`);
}

function isOf({ file, context, before }: Equivalent, place: Place): boolean {
  return file === place.file && context === place.mutation.context && before === place.mutation.before;
}
