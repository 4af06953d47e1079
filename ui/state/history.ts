import { type Action, type BenchState, type Builds, reduce } from './bench-state.ts';

/** Edits of one control that follow each other within this time are undone together. */
const GESTURE_MS = 800;

/** The state of the bench with the builds that undo and redo go to. Immutable. */
export interface History {
  readonly state: BenchState;
  readonly past: readonly Builds[];
  readonly future: readonly Builds[];
  readonly gesture: { readonly key: string; readonly atMs: number };
}

export function freshHistory(state: BenchState): History {
  return { state, past: [], future: [], gesture: NO_GESTURE };
}

const NO_GESTURE = { key: '', atMs: 0 };

/** The history after an action at a given time. */
export function carriedOut(history: History, action: Action, atMs: number): History {
  if (action.type === 'undo') return undone(history);
  if (action.type === 'redo') return redone(history);
  const state = reduce(history.state, action);
  const edited = { ...history, state };
  return state.builds === history.state.builds ? edited : remembered(edited, history, action, atMs);
}

function remembered(edited: History, { state, past }: History, action: Action, atMs: number): History {
  const key = gestureOf(action);
  const { gesture } = edited;
  const isSameGesture = key !== '' && key === gesture.key && atMs - gesture.atMs < GESTURE_MS;
  const next = { ...edited, gesture: { key, atMs } };
  return isSameGesture ? next : { ...next, past: [...past, state.builds], future: [] };
}

function undone({ state, past, future }: History): History {
  const builds = past.at(-1);
  if (!builds) return { state, past, future, gesture: NO_GESTURE };
  return {
    state: { ...state, builds, refusal: undefined },
    past: past.slice(0, -1),
    future: [...future, state.builds],
    gesture: NO_GESTURE,
  };
}

function redone({ state, past, future }: History): History {
  const builds = future.at(-1);
  if (!builds) return { state, past, future, gesture: NO_GESTURE };
  return {
    state: { ...state, builds, refusal: undefined },
    past: [...past, state.builds],
    future: future.slice(0, -1),
    gesture: NO_GESTURE,
  };
}

/** Edits of one control in quick succession are one gesture, such as turning a knob. */
function gestureOf(action: Action): string {
  if (action.type === 'turnKnob') return `${action.slot} ${action.name}`;
  return action.type === 'setPart' && action.isDialled ? `${action.slot} ${action.ref}` : '';
}
