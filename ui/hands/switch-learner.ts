import { BOUNCE_MS } from './press-timing.ts';

/**
 * How a switch reports its presses: "momentary" goes down and up with the foot, so it can be held. "pulse" reports no
 * hold: MIDI programme changes, and keys that go up at once. "latching" goes down with one press and up with the next.
 */
export type SwitchKind = 'momentary' | 'pulse' | 'latching';

/** A press that was asked to be short is shorter, and two presses on request are further apart, ms. */
const APART_MS = 450;
/** A switch that is still down after this is held, ms. */
export const HELD_MS = 400;

/** What a person is asked for while a switch is learned. */
export type LearnStep = 'press' | 'let go' | 'press again' | 'hold' | 'press briefly';

/**
 * Finds the kind of a switch from two presses about a second apart, the second one held where holding means something.
 * A first press that ends late may be slow, or the second one of a switch that latches: another short press tells.
 * Has no clock of its own.
 */
export class SwitchLearner {
  readonly #wantsHold: boolean;
  #step: LearnStep = 'press';
  /** The switch may latch: it went up late. */
  #mayLatch = false;
  #downAtMs = 0;
  #secondAtMs: number | undefined;

  constructor(wantsHold: boolean) {
    this.#wantsHold = wantsHold;
  }

  get step(): LearnStep {
    return this.#step;
  }

  /** The kind, once it is known. */
  take(isDown: boolean, atMs: number): SwitchKind | undefined {
    if (this.#secondAtMs !== undefined) return isDown ? undefined : this.#heldFor(atMs - this.#secondAtMs);
    if (isDown) return this.#down(atMs);
    return this.#step === 'let go' ? this.#up(atMs) : undefined;
  }

  /** Whether the second press, the one to be held, has begun. */
  get isSecond(): boolean {
    return this.#secondAtMs !== undefined;
  }

  /** To be asked while the second press lasts: it is held. */
  isHeld(atMs: number): boolean {
    return this.#secondAtMs !== undefined && atMs >= this.#secondAtMs + HELD_MS;
  }

  #down(atMs: number): SwitchKind | undefined {
    const isBounce = this.#step !== 'press' && atMs - this.#downAtMs < BOUNCE_MS;
    if (!isBounce) {
      if (this.#step === 'let go') return 'pulse';
      if (this.#step === 'press again') return 'momentary';
      if (this.#step === 'hold') {
        this.#secondAtMs = atMs;
        return undefined;
      }
      this.#downAtMs = atMs;
    }
    this.#step = 'let go';
    return undefined;
  }

  #up(atMs: number): SwitchKind | undefined {
    const isLate = atMs - this.#downAtMs >= APART_MS;
    if (isLate && this.#mayLatch) return 'latching';
    // A short press of a switch that latches would not have ended.
    if (!isLate && this.#mayLatch && !this.#wantsHold) return 'momentary';
    this.#mayLatch = isLate;
    this.#step = isLate ? 'press briefly' : this.#wantsHold ? 'hold' : 'press again';
    return undefined;
  }

  #heldFor(ms: number): SwitchKind {
    return ms >= HELD_MS ? 'momentary' : 'pulse';
  }
}

/** What was found, in a sentence; with what a switch of this kind cannot do, where that would mean something. */
export function foundText(kind: SwitchKind, hasLongPress: boolean): string {
  switch (kind) {
    case 'latching':
      return `Learned. This switch latches${hasLongPress ? ', so it has no long press' : ': each press counts'}.`;
    case 'pulse':
      return `Learned. This switch does not report a hold${hasLongPress ? ', so it has no long press' : ''}.`;
    case 'momentary':
      return `Learned.${hasLongPress ? ' This switch can be held.' : ''}`;
  }
}
