import type { SignMutation } from './sign-mutations.ts';

interface Place {
  readonly file: string;
  readonly source: string;
  readonly mutation: SignMutation;
}

interface Equivalent {
  readonly file: string;
  /** Line of the source. */
  readonly context: string;
  /**
   * The source text from the sign on, long enough to distinguish it from others on its line; it covers all equal
   * places.
   */
  readonly from: string;
  readonly reason: string;
}

/** Signs whose flip has no effect that a test of the solver could find, each with the reason. */
const EQUIVALENTS: readonly Equivalent[] = [
  {
    file: 'engine/devices/formula.ts',
    context: "const sign = Object.is(number, -0) ? '-0' : number;",
    from: '-',
    reason: 'then 0 has the key that −0 had and −0 has that of 0, so that the two stay apart',
  },
  {
    file: 'engine/solver/emit/emit-newton.ts',
    context: 'const isPure = greater(get(iteration), double(LIMITED_ITERATIONS + 1));',
    from: '+',
    reason:
      'steps are held back from the 20th instead of the 22nd iteration on, which is a choice between two that do',
  },
  {
    file: 'engine/solver/emit/emit-newton.ts',
    context: 'f.when(less(get(iteration), double(LIMITED_ITERATIONS + 1)), () =>',
    from: '+',
    reason: 'devices limit their steps in 18 instead of 20 iterations, which is a choice between two that do',
  },
  {
    file: 'engine/solver/resonance.ts',
    context: 'const farads = loadF + feedbackF;',
    from: '+',
    reason:
      'Q² is at most (C_l + C_f)/4C_f, so that C_f is below a hundredth of C_l wherever Q is above 5: too little to matter',
  },
  {
    file: 'engine/solver/substeps.ts',
    context: 'a.reduce((sum, value, k) => sum + value * (b[n - k] ?? 0), 0),',
    from: '+',
    reason: 'it is used twice in a row, so that the two changes of sign cancel',
  },
  ...['re += weight * xRe[row]!;', 'im += weight * xIm[row]!;'].map((context) => ({
    file: 'engine/analysis/noise.ts',
    context,
    from: '+=',
    reason: 'all terms of the sum change their sign, and only its square is used',
  })),
  {
    file: 'engine/solver/paired-simulators.ts',
    context: 'readonly #revisions = Int32Array.of(-1, -1);',
    from: '-1',
    reason: 'the other of the two alone makes the first copy',
  },
  {
    file: 'engine/solver/circuit-simulator.ts',
    context: 'this.memory.probeBlock[0] = -1;',
    from: '-1',
    reason: 'block 1 then computes a row of zeros, and without a probe 0 V is read anyway',
  },
  {
    file: 'engine/solver/small-signal.ts',
    context: '(slope, place) => slope + rate * capacitance[place]! + reciprocalInductance[place]! / rate,',
    from: '+',
    reason:
      'an order of elimination is chosen by the sizes of entries; what is solved with it has its own numbers',
  },
  {
    file: 'engine/solver/port-device.ts',
    context: 'if (Math.abs(step) < 1e-15 + 1e-14 * Math.abs(inputs[0])) break;',
    from: '+',
    reason: 'the iteration has converged by then, and goes on to its hundredth at the same place',
  },
];

/** Why the flip has no effect; undefined if a test must find it. */
export function equivalenceOf(place: Place): string | undefined {
  return EQUIVALENTS.find((equivalent) => isOf(equivalent, place))?.reason;
}

/** Entries of the list for lines that no longer exist in their source. */
export function unusedEquivalents(places: readonly Place[]): string[] {
  const files = new Set(places.map(({ file }) => file));
  return EQUIVALENTS.filter(
    (equivalent) => files.has(equivalent.file) && !places.some((place) => isOf(equivalent, place)),
  ).map(({ file, context }) => `${file}: ${context}`);
}

function isOf({ file, context, from }: Equivalent, { source, mutation, ...place }: Place): boolean {
  return file === place.file && context === mutation.context && source.startsWith(from, mutation.start);
}
