import type { Action, BenchState } from './bench-state.ts';
import {
  type CandidateRun,
  type EarVerdict,
  nextUnjudged,
  sidesBefore,
  withCandidateAt,
  withVerdict,
} from './candidate-run.ts';
import { indexIn } from './chains.ts';
import { withSides } from './changed-sides.ts';

export function startedCandidates(
  state: BenchState,
  { refs, list, isHidden, refused = [] }: Extract<Action, { readonly type: 'startCandidates' }>,
): BenchState {
  const { candidates } = state.ear;
  const isFirst = candidates?.at === undefined;
  const before = isFirst ? state.builds.b : candidates.before;
  const placeBefore = isFirst ? state.places.b : candidates.placeBefore;
  const pedal = indexIn(state.places.a);
  const run = { refs, pedal, list, isHidden, at: undefined, before, placeBefore, refused };
  return list.length === 0 ? state : atCandidate(state, run, 0);
}

export function pickedCandidate(state: BenchState, index: number): BenchState {
  const run = state.ear.candidates;
  return run?.at === undefined || run.list[index] === undefined ? state : atCandidate(state, run, index);
}

export function endedCandidates(state: BenchState, keeps: boolean): BenchState {
  const run = state.ear.candidates;
  if (run?.at === undefined) return state;
  const candidates = { ...run, at: undefined, isHidden: false };
  const ended = { ...state, ear: { ...state.ear, candidates }, refusal: undefined };
  return keeps ? ended : withSides(ended, sidesBefore(state, run));
}

export function judgedCandidate(state: BenchState, verdict: EarVerdict): BenchState {
  const run = state.ear.candidates;
  if (run?.at === undefined) return state;
  const judged = withVerdict(run, verdict);
  return atCandidate(state, judged, nextUnjudged(judged));
}

/** With a candidate in B, which is heard. */
export function atCandidate(state: BenchState, before: CandidateRun, index: number): BenchState {
  const { run, ...sides } = withCandidateAt(state, before, index);
  const ear = { ...state.ear, candidates: run, difference: undefined };
  return { ...withSides(state, sides), heard: 'b', ear };
}
