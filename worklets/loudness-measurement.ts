import { TELEMETRY } from './bench-messages.ts';
import type { BuildVoice } from './build-voice.ts';

/**
 * Delay of a measurement after a change before it: the longest impulse response of a speaker rings
 * for 0.17 s, and a new source reaches the processor some blocks after the message.
 */
const SETTLING_SECONDS = 0.2;

/** Indices in `#state`: number of the measurement, frames measured, frames to wait. */
const NUMBER = 0;
const MEASURED = 1;
const WAITING = 2;

/**
 * The loudness of both builds over the same time. Each measurement has the number that the page gave it, so
 * that readings are not confused, and begins when all changes of both builds are complete: it waits for
 * crossfades and glides. `process` and `write` are real-time safe.
 */
export class LoudnessMeasurement {
  readonly #a: BuildVoice;
  readonly #b: BuildVoice;
  readonly #sampleRateHz: number;
  readonly #state = new Float64Array(3);

  constructor(a: BuildVoice, b: BuildVoice, sampleRateHz: number) {
    this.#a = a;
    this.#b = b;
    this.#sampleRateHz = sampleRateHz;
    this.begin(0);
  }

  /** @param number Exact in a Float32Array: a whole number up to 2^24. */
  begin(number: number): void {
    this.#state[NUMBER] = number;
    this.#wait();
  }

  /** To be called once both have played a block. */
  process(frames: number): void {
    const state = this.#state;
    if (state[WAITING] === 0) state[MEASURED] = state[MEASURED]! + frames;
    else if (!this.#a.isSettled || !this.#b.isSettled) this.#wait();
    else {
      state[WAITING] = state[WAITING]! > frames ? state[WAITING]! - frames : 0;
      this.#forget();
    }
  }

  /** Writes loudness, seconds and, last, their number: a reader that reads the number first gets no older loudness. */
  write(values: Float32Array): void {
    values[TELEMETRY.loudnessA] = this.#a.loudness;
    values[TELEMETRY.loudnessB] = this.#b.loudness;
    values[TELEMETRY.measuredSeconds] = this.#state[MEASURED]! / this.#sampleRateHz;
    values[TELEMETRY.measurement] = this.#state[NUMBER]!;
  }

  #wait(): void {
    this.#state[MEASURED] = 0;
    this.#state[WAITING] = Math.round(SETTLING_SECONDS * this.#sampleRateHz);
    this.#forget();
  }

  #forget(): void {
    this.#a.measureLoudness();
    this.#b.measureLoudness();
  }
}
