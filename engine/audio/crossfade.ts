/** Common practice: short enough to feel instant, long enough not to click. */
export const SWITCH_FADE_SECONDS = 0.005;

/**
 * Equal-gain crossfade between two signals A and B: the gains follow half a cosine and add up to one, since
 * two builds on one input are correlated and an equal-power fade would bump by 3 dB. A change of mind
 * mid-fade turns back from where it is, without a jump.
 */
export class Crossfade {
  readonly #fadeSamples: number;
  /** How far towards B, in samples of the fade, and the direction: −1 to A, +1 to B. */
  readonly #state = new Int32Array([0, -1]);

  /** Throws RangeError for a rate or time that is not positive. */
  constructor(sampleRateHz: number, fadeSeconds: number) {
    if (!(sampleRateHz > 0 && fadeSeconds > 0)) {
      throw new RangeError(`crossfade: rate ${sampleRateHz} Hz and time ${fadeSeconds} s must be positive`);
    }
    this.#fadeSamples = Math.max(1, Math.round(fadeSeconds * sampleRateHz));
  }

  /** Whether a fade is under way. */
  get fading(): boolean {
    const place = this.#state[0]!;
    return this.#state[1]! > 0 ? place < this.#fadeSamples : place > 0;
  }

  /** Gain of B, 0 to 1. The gain of A is the rest. */
  get gainOfB(): number {
    return this.#gain(this.#state[0]!);
  }

  /** Heads for A or B from wherever the fade is. Real-time safe. */
  fadeTo(target: 'a' | 'b'): void {
    this.#state[1] = target === 'b' ? 1 : -1;
  }

  /** Is at A or B at once. Real-time safe. */
  jumpTo(target: 'a' | 'b'): void {
    this.fadeTo(target);
    this.#state[0] = target === 'b' ? this.#fadeSamples : 0;
  }

  /** @param output Length ≥ frames, overwritten; may be either input. Real-time safe. */
  process(a: Float64Array, b: Float64Array, frames: number, output: Float64Array): void {
    const last = this.#fadeSamples;
    const direction = this.#state[1]!;
    let place = this.#state[0]!;
    for (let n = 0; n < frames; n++) {
      place += direction;
      if (place < 0) place = 0;
      else if (place > last) place = last;
      // the ends are exact: the silent side may even be non-finite
      if (place === 0) output[n] = a[n]!;
      else if (place === last) output[n] = b[n]!;
      else {
        const gain = this.#gain(place);
        output[n] = (1 - gain) * a[n]! + gain * b[n]!;
      }
    }
    this.#state[0] = place;
  }

  /** Back to A. */
  reset(): void {
    this.jumpTo('a');
  }

  #gain(place: number): number {
    return 0.5 - 0.5 * Math.cos((Math.PI * place) / this.#fadeSamples);
  }
}
