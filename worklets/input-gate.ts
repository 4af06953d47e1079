/** Common practice: short, and long enough not to click. */
const FADE_SECONDS = 0.01;

/** Indices in `#state`: gain, 0 to 1, and its step a sample. */
const PLACE = 0;
const STEP = 1;

/** Opens or closes the input by a fade: sources are changed while it is closed. Real-time safe. */
export class InputGate {
  readonly #step: number;
  readonly #state: Float64Array;

  constructor(sampleRateHz: number) {
    this.#step = 1 / (FADE_SECONDS * sampleRateHz);
    this.#state = Float64Array.of(1, this.#step);
  }

  set(isOpen: boolean): void {
    this.#state[STEP] = isOpen ? this.#step : -this.#step;
  }

  /** @param signal Changed in place. */
  process(signal: Float64Array, frames: number): void {
    const state = this.#state;
    if (state[PLACE]! >= 1 && state[STEP]! > 0) return;
    for (let n = 0; n < frames; n++) {
      const place = state[PLACE]! + state[STEP]!;
      state[PLACE] = place > 1 ? 1 : place < 0 ? 0 : place;
      signal[n] = signal[n]! * (0.5 - 0.5 * Math.cos(Math.PI * state[PLACE]!));
    }
  }
}
