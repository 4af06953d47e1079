import { SLOTS } from '../../worklets/bench-messages.ts';
import type { Action, BenchState } from './bench-state.ts';
import { sidesBefore } from './candidate-run.ts';
import { arePedalsSame, type Sides } from './chains.ts';
import { earAfterEdit, withSides } from './changed-sides.ts';
import { followingPart } from './followed-part.ts';
import { reduce } from './reduce.ts';

/** Edits of one control that follow each other within this time are undone together. */
const GESTURE_MS = 800;

/** The state of the bench with the builds and chains that undo and redo go to. Immutable. */
export interface History {
  readonly state: BenchState;
  readonly past: readonly Sides[];
  readonly future: readonly Sides[];
  readonly gesture: { readonly key: string; readonly atMs: number };
}

export function freshHistory(state: BenchState): History {
  return { state, past: [], future: [], gesture: NO_GESTURE };
}

/** Candidates are undone together, however long they are listened to: undo brings back build B before the first. */
const CANDIDATES = 'candidates';
const CANDIDATE_ACTIONS: ReadonlySet<Action['type']> = new Set([
  'startCandidates',
  'candidate',
  'verdict',
  'pickCandidate',
]);

const NO_GESTURE = { key: '', atMs: 0 };

/** The history after an action at a given time. */
export function carriedOut(history: History, action: Action, atMs: number): History {
  if (action.type === 'undo') return undone(withoutCandidates(history));
  if (action.type === 'redo') return redone(history);
  const state = reduce(history.state, action);
  const edited = { ...history, state };
  if (action.type === 'endCandidates') return withoutPresent({ ...withoutCandidates(history), state });
  const isEdit = !isSame(state, history.state) && action.type !== 'look';
  return isEdit ? remembered(edited, history, action, atMs) : edited;
}

function isSame(one: Sides, other: Sides): boolean {
  return one.builds === other.builds && one.places === other.places;
}

function sidesOf({ builds, places }: Sides): Sides {
  return { builds, places };
}

function remembered(edited: History, { state, past }: History, action: Action, atMs: number): History {
  const key = gestureOf(action);
  const { gesture } = edited;
  const isSoon = key === CANDIDATES || atMs - gesture.atMs < GESTURE_MS;
  const isSameGesture = key !== '' && key === gesture.key && isSoon;
  const next = { ...edited, gesture: { key, atMs } };
  return isSameGesture ? next : { ...next, past: [...past, sidesOf(state)], future: [] };
}

/**
 * While candidates are under way: as if build B had stayed what it was before the first, whatever else was turned
 * meanwhile. What was changed in A can still be undone, step by step.
 */
function withoutCandidates(history: History): History {
  const { state, past } = history;
  const run = state.ear.candidates;
  if (run?.at === undefined) return history;
  const start = past.map(({ builds }) => builds.b).lastIndexOf(run.before);
  if (start < 0) return history;
  const since = [...past.slice(start + 1), state].map((sides) => sidesBefore(sides, run));
  const changes = since.filter(
    (sides, index) => !arePedalsSame(sides, since[index - 1] ?? past[start]!, 'a'),
  );
  return { ...history, past: [...past.slice(0, start + 1), ...changes], gesture: NO_GESTURE };
}

/** The last one to go back to is another than what is there. */
function withoutPresent(history: History): History {
  const { past, state } = history;
  const last = past.at(-1);
  const isPresent = last !== undefined && SLOTS.every((slot) => arePedalsSame(last, state, slot));
  return isPresent ? { ...history, past: past.slice(0, -1) } : history;
}

function undone({ state, past, future }: History): History {
  const sides = past.at(-1);
  if (!sides) return { state, past, future, gesture: NO_GESTURE };
  return {
    state: travelled(state, sides),
    past: past.slice(0, -1),
    future: [...future, sidesOf(state)],
    gesture: NO_GESTURE,
  };
}

function redone({ state, past, future }: History): History {
  const sides = future.at(-1);
  if (!sides) return { state, past, future, gesture: NO_GESTURE };
  return {
    state: travelled(state, sides),
    past: [...past, sidesOf(state)],
    future: future.slice(0, -1),
    gesture: NO_GESTURE,
  };
}

function travelled(state: BenchState, sides: Sides): BenchState {
  return followingPart(state, { ...withSides(state, sides), ear: earAfterEdit(state, sides) });
}

/** Edits of one control in quick succession are one gesture, such as turning a knob. */
function gestureOf(action: Action): string {
  if (CANDIDATE_ACTIONS.has(action.type) && !('change' in action)) return CANDIDATES;
  if (action.type === 'turnKnob') return `${action.slot} ${action.name}`;
  return action.type === 'setPart' && action.isDialled ? `${action.slot} ${action.ref}` : '';
}
