import { aliasProblem } from '../../engine/builds/alias.ts';
import { buildParts, circuitOf } from '../../engine/builds/build.ts';
import { BuildError } from '../../engine/builds/build-error.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { canonicalSetting } from '../../engine/builds/part-setting.ts';
import { kelvinOf } from '../../engine/network/temperature.ts';
import { NetworkError } from '../../engine/solver/network-error.ts';
import { OperatingPointError } from '../../engine/solver/operating-point.ts';
import { SLOTS } from '../../worklets/bench-messages.ts';
import { type Action, type BenchState, type Builds, reduce } from './bench-state.ts';
import { playedConditions, RestStates } from './rest-states.ts';

/** Edits of one control that follow each other within this time are undone together. */
const GESTURE_MS = 800;

/**
 * Holds the bench's state, carries actions out, and remembers builds for undo and redo. An edit whose circuit
 * cannot be solved is refused: the builds stay as they were, and the state says why. Emits 'change'.
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
    if (action.type === 'undo') this.#travel(this.#past, this.#future);
    else if (action.type === 'redo') this.#travel(this.#future, this.#past);
    else this.#apply(action);
    this.dispatchEvent(new Event('change'));
  }

  #apply(requested: Action): void {
    const before = this.#state;
    const action = canonicalAction(before, requested);
    const after = reduce(before, action);
    if (after.builds !== before.builds) {
      const problem = needsCheck(action) ? this.#problemOf(after, before.builds) : undefined;
      if (problem !== undefined) {
        const ref = 'ref' in action ? action.ref : '';
        this.#state = reduce(before, {
          type: 'refuse',
          ref,
          slot: 'slot' in action ? action.slot : undefined,
          message: problem,
        });
        return;
      }
      this.#remember(action, before.builds);
    }
    this.#state = after;
  }

  /** Why a build that has changed cannot be solved, in words. */
  #problemOf({ builds: after, temperatureC }: BenchState, before: Builds): string | undefined {
    const conditions = playedConditions({ temperatureC, isBypassed: false, instrument: undefined });
    for (const slot of ['a', 'b'] as const) {
      const build = after[slot];
      if (build === before[slot]) continue;
      try {
        this.rests.of(build, conditions, () => networkOf(build, kelvinOf(temperatureC)));
      } catch (error) {
        if (isRefusal(error)) return error.message;
        throw error;
      }
    }
    return undefined;
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

  #travel(from: Builds[], to: Builds[]): void {
    const builds = from.pop();
    if (!builds) return;
    to.push(this.#state.builds);
    this.#gesture = { key: '', at: 0 };
    this.#state = { ...this.#state, builds, refusal: undefined };
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
  const part = buildParts(circuitOf(builds[slot])).find((candidate) => candidate.ref === ref);
  if (!part) return action;
  try {
    return { ...action, setting: canonicalSetting(part, setting) };
  } catch (error) {
    if (isRefusal(error)) return { type: 'refuse', ref, slot, message: error.message };
    throw error;
  }
}

/** A name that a part cannot have is a refusal. */
function checkedAlias({ builds, heard }: BenchState, ref: string, alias: string): Action {
  const problem = SLOTS.filter((slot) => builds[slot].circuit === builds[heard].circuit)
    .map((slot) => (alias.trim() === '' ? undefined : aliasProblem(builds[slot], ref, alias.trim())))
    .find((found) => found !== undefined);
  if (problem === undefined) return { type: 'alias', ref, alias };
  return { type: 'refuse', ref, slot: undefined, message: problem };
}

/** Knobs turn within a track that always conducts; everything else may part the circuit. */
function needsCheck({ type }: Action): boolean {
  return (
    type !== 'turnKnob' &&
    type !== 'rename' &&
    type !== 'alias' &&
    type !== 'setBypass' &&
    type !== 'exchange' &&
    type !== 'copy'
  );
}

/** Whether an error is a refusal whose message is fit for the screen. */
export function isRefusal(error: unknown): error is Error {
  return error instanceof BuildError || error instanceof NetworkError || error instanceof OperatingPointError;
}
