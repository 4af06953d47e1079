import type { Slot, SwitchEvery } from './bench-messages.ts';

/**
 * Decides when A and B switch automatically: at every loop of the riff, or after a set time. `begin` and `hear` must
 * be called from a message handler; `advance` is real-time safe.
 */
export class AutoSwitch {
  readonly #sampleRateHz: number;
  #heard: Slot = 'a';
  #every: SwitchEvery = 'off';
  /** Frames since the last switch, loops so far, switches so far. */
  readonly #state = new Float64Array(3);

  constructor(sampleRateHz: number) {
    this.#sampleRateHz = sampleRateHz;
  }

  /** The build that plays. */
  get heard(): Slot {
    return this.#heard;
  }

  /** Switches so far. */
  get count(): number {
    return this.#state[2]!;
  }

  /** The player has chosen a build; a change starts the time again. */
  hear(slot: Slot): void {
    if (slot !== this.#heard) this.#state[0] = 0;
    this.#heard = slot;
  }

  begin(every: SwitchEvery, passes: number): void {
    this.#every = every;
    this.#state[0] = 0;
    this.#state[1] = passes;
  }

  /** @returns Whether to switch now. @param passes Whole loops of the riff so far. */
  advance(frames: number, passes: number): boolean {
    const state = this.#state;
    const every = this.#every;
    const hasPassed = passes > state[1]!;
    state[0] = state[0]! + frames;
    state[1] = passes;
    if (every === 'off') return false;
    const isOver = every === 'pass' ? hasPassed : state[0]! >= every * this.#sampleRateHz;
    if (!isOver) return false;
    state[0] = 0;
    state[2] = state[2]! + 1;
    this.#heard = this.#heard === 'a' ? 'b' : 'a';
    return true;
  }
}
