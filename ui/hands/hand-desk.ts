import { isPress, type MidiMove } from '../midi/midi-messages.ts';
import type { Action, BenchState } from '../state/bench-state.ts';
import { dialled } from './dials.ts';
import { type FixedKeys, fixedHolder } from './fixed-keys.ts';
import { HAND_ACTION_IDS, HAND_ACTIONS, type HandActionId } from './hand-actions.ts';
import {
  type HandBindings,
  type HandTarget,
  isDial,
  keyHolder,
  loadBindings,
  midiHolder,
  STANDARD_KEYS,
  saveBindings,
  withKey,
  withMidi,
  withoutKey,
  withoutMidi,
} from './hand-bindings.ts';
import { HandLearner, type Learned, type LearningState } from './hand-learner.ts';
import type { HandRunner } from './hand-runner.ts';
import { keyText, whyNotKey } from './keys.ts';
import { LONG_PRESS_MS, PressTiming } from './press-timing.ts';
import { foundText, type SwitchKind } from './switch-learner.ts';

/** A key or control that was learned although another target has it. */
export interface HandConflict {
  readonly target: HandTarget;
  readonly learned: Learned;
  readonly holder: HandTarget | FixedKeys;
}

/** What the screen shows of keys and controls. */
export interface HandState {
  readonly bindings: HandBindings;
  readonly learning: LearningState | undefined;
  readonly conflict: HandConflict | undefined;
  /** What was found while it was learned, or why it was refused. */
  readonly note: { readonly target: HandTarget; readonly text: string } | undefined;
}

/** Carries a task out after a time; tests have a clock of their own. */
type After = (ms: number, task: () => void) => void;

/** Turns what comes from keys and MIDI controls into actions, and learns which does which. Emits 'change'. */
export class HandDesk extends EventTarget {
  readonly #runner: HandRunner;
  readonly #turn: { readonly wanted: () => BenchState; readonly act: (action: Action) => void };
  readonly #after: After;
  readonly #timings = new Map<string, PressTiming>();
  /** The last value of every control. */
  readonly #amounts = new Map<string, number>();
  #learner: HandLearner | undefined;
  #state: HandState = {
    bindings: loadBindings(),
    learning: undefined,
    conflict: undefined,
    note: undefined,
  };

  constructor(
    runner: HandRunner,
    turn: { readonly wanted: () => BenchState; readonly act: (action: Action) => void },
    after: After = (ms, task) => void setTimeout(task, ms),
  ) {
    super();
    this.#runner = runner;
    this.#turn = turn;
    this.#after = after;
  }

  get state(): HandState {
    return this.#state;
  }

  get hasMidi(): boolean {
    return Object.keys(this.#state.bindings.midi).length > 0;
  }

  /** The key of the foot switch, as it is printed. */
  get footKey(): string {
    const { foot } = this.#state.bindings.keys;
    return foot ? keyText(foot.key) : 'Foot switch';
  }

  /** The action of a key as things are now. */
  actionOf(key: string): HandActionId | undefined {
    const { keys } = this.#state.bindings;
    return HAND_ACTION_IDS.find((id) => keys[id]?.key === key && this.#runner.isMeant(id));
  }

  /** Whether a key is that of the standard, not one that was learned. */
  isStandard(id: HandActionId): boolean {
    return this.#state.bindings.keys[id]?.key === STANDARD_KEYS[id]?.key;
  }

  /** Carries out what a key does. @param isRepeat Sent by the keyboard for a key that is held down. */
  pressKey(id: HandActionId, isDown: boolean, isRepeat: boolean, atMs: number): void {
    if (isRepeat) {
      if (HAND_ACTIONS[id].goesOn) this.#runner.run(id, { is: 'first', canBeLong: false });
      return;
    }
    this.#press(id, `key ${id}`, isDown, this.#state.bindings.keys[id]?.press, atMs);
  }

  /** No key is down any more, as when the window loses the focus. */
  releaseAll(): void {
    for (const timing of this.#timings.values()) timing.up();
  }

  takeMidi(move: MidiMove, atMs: number): void {
    const edge = this.#edgeOf(move);
    if (this.#learner) {
      if (this.#learner.wantsKnob ? move.control.kind === 'controller' : edge !== undefined)
        this.#learnFrom({ midi: move.control }, edge ?? true, atMs);
      return;
    }
    for (const [name, control] of Object.entries(this.#state.bindings.midi)) {
      const target = name as HandTarget;
      if (!control || idOf(control) !== idOf(move.control)) continue;
      if (isDial(target)) this.#dial(target, move.amount);
      else if (edge !== undefined && this.#runner.isMeant(target))
        this.#press(target, idOf(control), edge, control.press ?? pressOf(move), atMs);
    }
  }

  learn(target: HandTarget): void {
    const wantsHold = !isDial(target) && HAND_ACTIONS[target].hasLongPress === true;
    this.#learner = new HandLearner(target, { wantsKnob: isDial(target), wantsHold });
    this.#change({ learning: this.#learner.state, conflict: undefined, note: undefined });
  }

  stopLearning(): void {
    this.#learner = undefined;
    this.#change({ learning: undefined, conflict: undefined, note: undefined });
  }

  /** @returns Whether the key was taken, for learning. */
  learnKey(key: string, isDown: boolean, atMs: number): boolean {
    const learner = this.#learner;
    if (!learner || learner.wantsKnob) return false;
    const why = whyNotKey(key);
    if (why === undefined) this.#learnFrom({ key }, isDown, atMs);
    else if (isDown) this.#change({ note: { target: learner.target, text: why } });
    return why === undefined;
  }

  /** Answers the question of a conflict. */
  resolve(takesIt: boolean): void {
    const { conflict } = this.#state;
    this.#change({ conflict: undefined });
    if (conflict && takesIt) this.#bind(conflict.target, conflict.learned);
  }

  forgetKey(id: HandActionId): void {
    this.#keep(withoutKey(this.#state.bindings, id));
  }

  forgetMidi(target: HandTarget): void {
    this.#keep(withoutMidi(this.#state.bindings, target));
  }

  resetKeys(): void {
    this.#keep({ ...this.#state.bindings, keys: STANDARD_KEYS });
  }

  #learnFrom(control: Learned['control'], isDown: boolean, atMs: number): void {
    const learner = this.#learner;
    if (!learner) return;
    const press = learner.take(control, isDown, atMs);
    if (press) {
      this.#learned(learner, { control, press });
      return;
    }
    if (learner.isSecond) this.#after(learner.heldMs, () => this.#checkHeld(learner, atMs));
    this.#change({ learning: learner.state, note: undefined });
  }

  #checkHeld(learner: HandLearner, atMs: number): void {
    if (learner !== this.#learner || !learner.control || !learner.isHeld(atMs + learner.heldMs)) return;
    this.#learned(learner, { control: learner.control, press: 'momentary' });
  }

  #learned({ target }: HandLearner, learned: Learned): void {
    this.#learner = undefined;
    const { bindings } = this.#state;
    const { control } = learned;
    const holder =
      'key' in control
        ? holderOfKey(bindings, target as HandActionId, control.key)
        : midiHolder(bindings, target, control.midi);
    if (holder === undefined) this.#bind(target, learned);
    else this.#change({ learning: undefined, conflict: { target, learned, holder } });
  }

  #bind(target: HandTarget, { control, press }: Learned): void {
    const { bindings } = this.#state;
    if ('key' in control && !isDial(target)) {
      this.#keep(withKey(bindings, target, { key: control.key, press }));
    } else if ('midi' in control) {
      this.#keep(withMidi(bindings, target, isDial(target) ? control.midi : { ...control.midi, press }));
    }
    const text = isDial(target) ? 'Learned.' : foundText(press, HAND_ACTIONS[target].hasLongPress === true);
    this.#change({ learning: undefined, note: { target, text } });
  }

  #keep(bindings: HandBindings): void {
    saveBindings(bindings);
    this.#timings.clear();
    this.#change({ bindings });
  }

  /** A message as a press or a release of its control; undefined for one between. */
  #edgeOf(move: MidiMove): boolean | undefined {
    const id = idOf(move.control);
    const before = this.#amounts.get(id);
    this.#amounts.set(id, move.amount);
    const isDown = isPress(move);
    if (move.control.kind !== 'controller') return isDown;
    // A switch that latches may have been on before the page was opened: its first message is a press too.
    if (before === undefined) return isDown;
    const wasDown = isPress({ ...move, amount: before });
    // A switch that sends only presses sends the same value every time; a pedal between its ends does not.
    return isDown !== wasDown || (isDown && before === move.amount) ? isDown : undefined;
  }

  #press(
    id: HandActionId,
    control: string,
    isDown: boolean,
    press: SwitchKind = 'momentary',
    atMs: number,
  ): void {
    const timing = this.#timings.get(control) ?? new PressTiming();
    this.#timings.set(control, timing);
    const canBeLong = press === 'momentary';
    if (!isDown) timing.up();
    if (!isDown && press !== 'latching') return;
    const is = timing.down(atMs);
    if (!canBeLong) timing.up();
    if (!is) return;
    this.#runner.run(id, { is, canBeLong });
    if (canBeLong && HAND_ACTIONS[id].hasLongPress)
      this.#after(LONG_PRESS_MS, () => {
        if (timing.isLong(atMs + LONG_PRESS_MS)) this.#runner.run(id, { is: 'long', canBeLong });
      });
  }

  #dial(target: HandTarget, amount: number): void {
    const wanted = this.#turn.wanted();
    // Nothing is changed while a blind test runs.
    if (wanted.ear.blindTest || !isDial(target)) return;
    const action = dialled(wanted, target, amount);
    if (action) this.#turn.act(action);
  }

  #change(change: Partial<HandState>): void {
    this.#state = { ...this.#state, ...change };
    this.dispatchEvent(new Event('change'));
  }
}

function idOf({ kind, channel, number }: MidiMove['control']): string {
  return `${kind} ${channel} ${number}`;
}

function holderOfKey(
  bindings: HandBindings,
  id: HandActionId,
  key: string,
): HandConflict['holder'] | undefined {
  return keyHolder(bindings, id, key) ?? fixedHolder(id, key);
}

function pressOf({ control }: MidiMove): SwitchKind {
  return control.kind === 'program' ? 'pulse' : 'momentary';
}
