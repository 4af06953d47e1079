import { type MidiControl, sameControl } from '../midi/midi-messages.ts';
import type { HandTarget } from './hand-bindings.ts';
import { HELD_MS, type LearnStep, type SwitchKind, SwitchLearner } from './switch-learner.ts';

/** What was learned, and how its presses come. */
export interface Learned {
  readonly control: { readonly key: string } | { readonly midi: MidiControl };
  readonly press: SwitchKind;
}

export interface LearningState {
  readonly target: HandTarget;
  readonly step: LearnStep | 'turn';
}

/** Learns one target from the first key or control that is used. */
export class HandLearner {
  readonly target: HandTarget;
  readonly wantsKnob: boolean;
  readonly heldMs = HELD_MS;
  readonly #switch: SwitchLearner;
  #control: Learned['control'] | undefined;

  constructor(
    target: HandTarget,
    { wantsKnob, wantsHold }: { readonly wantsKnob: boolean; readonly wantsHold: boolean },
  ) {
    this.target = target;
    this.wantsKnob = wantsKnob;
    this.#switch = new SwitchLearner(wantsHold);
  }

  get state(): LearningState {
    return { target: this.target, step: this.wantsKnob ? 'turn' : this.#switch.step };
  }

  get control(): Learned['control'] | undefined {
    return this.#control;
  }

  /** Whether the second press lasts. */
  get isSecond(): boolean {
    return this.#switch.isSecond;
  }

  isHeld(atMs: number): boolean {
    return this.#switch.isHeld(atMs);
  }

  /** The kind of the switch, once it is known. A knob is known at its first move; another control than the first is ignored. */
  take(control: Learned['control'], isDown: boolean, atMs: number): SwitchKind | undefined {
    if (this.wantsKnob) return 'pulse';
    if (!this.#control && !isDown) return undefined;
    this.#control ??= control;
    return isSame(this.#control, control) ? this.#switch.take(isDown, atMs) : undefined;
  }
}

function isSame(a: Learned['control'], b: Learned['control']): boolean {
  if ('key' in a) return 'key' in b && a.key === b.key;
  return 'midi' in b && sameControl(a.midi, b.midi);
}
