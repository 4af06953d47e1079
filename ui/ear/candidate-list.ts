import type { Candidate } from '../../engine/analysis/rank-candidates.ts';
import { Refusal } from '../../engine/input/refusal.ts';
import type { BenchState } from '../state/bench-state.ts';
import { type CandidateRun, type TriedCandidate, withCandidateAt } from '../state/candidate-run.ts';
import { indexIn } from '../state/chains.ts';

/** Fewer are an A/B; more are not kept apart by ear. Common practice, no source. */
export const CANDIDATES_RANGE = { fewest: 3, most: 12 } as const;

/** Candidates whose levels are known, and those that cannot be played, each with the reason. */
export interface PreparedCandidates {
  readonly list: readonly TriedCandidate[];
  readonly refused: readonly string[];
}

/** While candidates are prepared. */
export interface Preparation {
  /** Computes the loudness of build B of a state. */
  readonly prepareB: (state: BenchState) => Promise<number>;
  /** Told how many are done. */
  readonly onDone: (count: number) => void;
  readonly signal: AbortSignal;
}

/**
 * Computes the levels of candidates in build B, one after the other, so that each is heard matched from its first note.
 *
 * @returns Undefined once it was stopped.
 */
export async function prepareCandidates(
  state: BenchState,
  candidates: readonly Candidate[],
  { prepareB, onDone, signal }: Preparation,
): Promise<PreparedCandidates | undefined> {
  const list = candidates.map(({ text, settings }) => ({ text, settings, verdict: undefined }));
  const run: CandidateRun = {
    refs: [],
    pedal: indexIn(state.places.a),
    list,
    at: undefined,
    isHidden: false,
    before: state.builds.b,
    placeBefore: state.places.b,
    refused: [],
  };
  const problems: (string | undefined)[] = [];
  for (const [index, { text }] of list.entries()) {
    const { run: at, ...sides } = withCandidateAt(state, run, index);
    // A run begins with what is played now; its other candidates are measured over the same.
    const ear = index === 0 ? state.ear : { ...state.ear, candidates: at };
    problems.push(await problemOf(text, () => prepareB({ ...state, ...sides, ear })));
    if (signal.aborted) return undefined;
    onDone(index + 1);
  }
  return {
    list: list.filter((_, index) => problems[index] === undefined),
    refused: problems.filter((problem) => problem !== undefined),
  };
}

async function problemOf(text: string, prepare: () => Promise<unknown>): Promise<string | undefined> {
  try {
    await prepare();
    return undefined;
  } catch (error) {
    if (error instanceof Refusal) return `${text} is left out: ${error.message}`;
    throw error;
  }
}

/**
 * The list in an order picked at random, every order alike (Fisher and Yates).
 *
 * @param below A random whole number from 0 to one less than its argument.
 */
export function shuffled<T>(list: readonly T[], below: (count: number) => number): readonly T[] {
  const order = [...list];
  for (let last = order.length - 1; last > 0; last--) {
    const other = below(last + 1);
    [order[last], order[other]] = [order[other]!, order[last]!];
  }
  return order;
}

/** A random whole number below a count of at most some hundred. */
export function randomBelow(count: number): number {
  // 2^32 is so much more that the unevenness of the remainder does not matter.
  return crypto.getRandomValues(new Uint32Array(1))[0]! % count;
}
