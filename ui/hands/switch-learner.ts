/**
 * How a switch reports its presses: "momentary" goes down and up with the foot, so it can be held. "pulse" reports no
 * hold: MIDI programme changes, and keys that go up at once. "latching" goes down with one press and up with the next.
 */
export type SwitchKind = 'momentary' | 'pulse' | 'latching';

/** A press that is not held is shorter, and two presses on request are further apart, ms. */
const APART_MS = 450;
/** Contacts bounce for less, ms. */
const BOUNCE_MS = 60;
/** A switch that is still down after this is held, ms. */
export const HELD_MS = 400;

/** What a person is asked for while a switch is learned. */
export type LearnStep = 'press' | 'press again' | 'hold';

/**
 * Finds the kind of a switch from two presses about a second apart, the second one held where holding means something.
 * Has no clock of its own.
 */
export class SwitchLearner {
  readonly #wantsHold: boolean;
  #step: LearnStep = 'press';
  #firstAtMs = 0;
  #wentUp = false;
  #secondAtMs: number | undefined;

  constructor(wantsHold: boolean) {
    this.#wantsHold = wantsHold;
  }

  get step(): LearnStep {
    return this.#step;
  }

  /** The kind, once it is known. */
  take(isDown: boolean, atMs: number): SwitchKind | undefined {
    if (this.#step === 'press') {
      if (isDown) this.#begin(atMs);
      return undefined;
    }
    if (atMs - this.#firstAtMs < BOUNCE_MS && isDown) return undefined;
    if (this.#secondAtMs !== undefined) return isDown ? undefined : this.#heldFor(atMs - this.#secondAtMs);
    return isDown ? this.#again(atMs) : this.#release(atMs);
  }

  /** Whether the second press, the one to be held, has begun. */
  get isSecond(): boolean {
    return this.#secondAtMs !== undefined;
  }

  /** To be asked while the second press lasts: it is held. */
  isHeld(atMs: number): boolean {
    return this.#secondAtMs !== undefined && atMs >= this.#secondAtMs + HELD_MS;
  }

  #begin(atMs: number): void {
    this.#firstAtMs = atMs;
    this.#step = this.#wantsHold ? 'hold' : 'press again';
  }

  #release(atMs: number): SwitchKind | undefined {
    this.#wentUp = true;
    return atMs - this.#firstAtMs >= APART_MS ? 'latching' : undefined;
  }

  #again(atMs: number): SwitchKind | undefined {
    if (!this.#wentUp) return 'pulse';
    if (!this.#wantsHold) return 'momentary';
    this.#secondAtMs = atMs;
    return undefined;
  }

  #heldFor(ms: number): SwitchKind {
    return ms >= HELD_MS ? 'momentary' : 'pulse';
  }
}

/** What a switch of this kind cannot do, in a sentence; empty for one that can be held. */
export function limitOf(kind: SwitchKind): string {
  switch (kind) {
    case 'latching':
      return 'This switch latches, so it has no long press.';
    case 'pulse':
      return 'This switch does not report a hold, so it has no long press.';
    case 'momentary':
      return '';
  }
}
