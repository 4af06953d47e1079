import { aliasProblem } from '../../engine/builds/alias.ts';
import { buildParts } from '../../engine/builds/build.ts';
import { canonicalSetting } from '../../engine/builds/part-setting.ts';
import { isSameCircuit } from '../../engine/circuits/circuit.ts';
import { Refusal } from '../../engine/input/refusal.ts';
import { SLOTS, type Slot } from '../../worklets/bench-messages.ts';
import { type Action, type BenchState, type Builds, reduce, withinRange } from './bench-state.ts';
import { RestStates } from './rest-states.ts';
import { type Unsolvable, unsolvable } from './unsolvable.ts';

/** Edits of one control that follow each other within this time are undone together. */
const GESTURE_MS = 800;

/**
 * Holds the bench's state, carries actions out, and remembers builds for undo and redo. Whatever would leave a
 * circuit that cannot be solved is refused: all stays as it was, and the state says why. Emits 'change'.
 */
export class BenchStore extends EventTarget {
  /** Those that were solved to check an edit, and others since. */
  readonly rests = new RestStates();
  #state: BenchState;
  #past: Builds[] = [];
  #future: Builds[] = [];
  #gesture = { key: '', at: 0 };

  constructor(state: BenchState) {
    super();
    this.#state = state;
  }

  get state(): BenchState {
    return this.#state;
  }

  get canUndo(): boolean {
    return this.#past.length > 0;
  }

  get canRedo(): boolean {
    return this.#future.length > 0;
  }

  act(action: Action): void {
    if (action.type === 'undo') this.#travel(action, this.#past, this.#future);
    else if (action.type === 'redo') this.#travel(action, this.#future, this.#past);
    else this.#apply(action);
    this.dispatchEvent(new Event('change'));
  }

  #apply(requested: Action): void {
    const before = this.#state;
    const action = canonicalAction(before, requested);
    const after = reduce(before, action);
    const problem = isPlayedOtherwise(before, after, action) ? unsolvable(after, this.rests) : undefined;
    if (problem) {
      this.#state = refused(before, action, problem);
      return;
    }
    if (after.builds !== before.builds) this.#remember(action, before.builds);
    this.#state = after;
  }

  #remember(action: Action, builds: Builds): void {
    const key = gestureOf(action);
    const now = Date.now();
    const isSameGesture = key !== '' && key === this.#gesture.key && now - this.#gesture.at < GESTURE_MS;
    this.#gesture = { key, at: now };
    if (isSameGesture) return;
    this.#past = [...this.#past, builds];
    this.#future = [];
  }

  #travel(action: Action, from: Builds[], to: Builds[]): void {
    const builds = from.at(-1);
    if (!builds) return;
    this.#gesture = { key: '', at: 0 };
    const after = { ...this.#state, builds, refusal: undefined };
    const problem = unsolvable(after, this.rests);
    if (problem) {
      this.#state = refused(this.#state, action, problem);
      return;
    }
    from.pop();
    to.push(this.#state.builds);
    this.#state = after;
  }
}

/** Edits of one control that follow each other at once are one gesture: a knob turned, a dial run through values. */
function gestureOf(action: Action): string {
  if (action.type === 'turnKnob') return `${action.slot} ${action.name}`;
  return action.type === 'setPart' && action.isDialled ? `${action.slot} ${action.ref}` : '';
}

/** A part's new setting in its one form; a refusal where it is none. */
function canonicalAction(state: BenchState, action: Action): Action {
  const { builds } = state;
  if (action.type === 'alias') return checkedAlias(state, action.ref, action.alias);
  if (action.type !== 'setPart') return action;
  const { ref, slot, setting } = action;
  const part = buildParts(builds[slot].circuit).find((candidate) => candidate.ref === ref);
  if (!part) return action;
  try {
    return { ...action, setting: canonicalSetting(part, setting) };
  } catch (error) {
    if (error instanceof Refusal) return { type: 'refuse', ref, slot, message: error.message };
    throw error;
  }
}

/** A name that a part cannot have is a refusal. */
function checkedAlias({ builds, heard }: BenchState, ref: string, alias: string): Action {
  const problem = SLOTS.filter((slot) => isSameCircuit(builds[slot].circuit, builds[heard].circuit))
    .map((slot) => (alias.trim() === '' ? undefined : aliasProblem(builds[slot], ref, alias.trim())))
    .find((found) => found !== undefined);
  if (problem === undefined) return { type: 'alias', ref, alias };
  return { type: 'refuse', ref, slot: undefined, message: problem };
}

/**
 * Whether an action changes what has to be solved so that it may have no solution. Titles and names of parts do not; a
 * knob turns within a track that always conducts, and faster than circuits are solved.
 */
function isPlayedOtherwise(before: BenchState, after: BenchState, { type }: Action): boolean {
  if (type === 'rename' || type === 'alias' || type === 'turnKnob') return false;
  return (
    after.builds !== before.builds ||
    after.temperatureC !== before.temperatureC ||
    after.isBypassed !== before.isBypassed ||
    after.guitar !== before.guitar ||
    after.source !== before.source
  );
}

/** The state before, with the reason why an action was not carried out. */
function refused(before: BenchState, action: Action, { slot, message }: Unsolvable): BenchState {
  const ref = 'ref' in action ? action.ref : '';
  const isAtPart = ref !== '' && 'slot' in action && action.slot === slot;
  const text = isAtPart ? message : `${leadOf(action, slot)} ${message}`;
  // What plays has changed by then: it is the guitar ahead of the pedals that has to go.
  const kept =
    action.type === 'source'
      ? { ...before, source: action.source, guitar: { ...before.guitar, isOn: false } }
      : before;
  return reduce(kept, { type: 'refuse', ref, slot, message: text });
}

/** What was asked for, ahead of why it cannot be. */
function leadOf(action: Action, slot: Slot): string {
  const letter = slot.toUpperCase();
  switch (action.type) {
    case 'temperature':
      return `At ${withinRange(action.celsius, 0)} °C build ${letter} cannot be played.`;
    case 'bypass':
      return `Build ${letter} cannot be played ${action.isBypassed ? 'bypassed' : 'with the effect on'}.`;
    case 'guitar':
    case 'source':
      return `Build ${letter} cannot be played with pickup and cable ahead of it.`;
    case 'undo':
    case 'redo':
      return `Nothing was changed: build ${letter} could not be played at this temperature.`;
    default:
      return `Build ${letter} cannot be played like that.`;
  }
}
