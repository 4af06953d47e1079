import { MOST_LEVELS } from './bench-messages.ts';

/**
 * Measures one net after another while a build plays: the largest deviations from its DC voltage. One probe
 * serves all nets.
 */
export class LevelScan {
  #nets: readonly string[] = [];
  /** Index of the measured net. */
  readonly #place = new Int32Array(1);
  /** Its largest deviation upwards and downwards, V. */
  readonly #peaks = new Float64Array(2);

  /** The measured net; undefined for none. */
  get net(): string | undefined {
    return this.#nets[this.#place[0]!];
  }

  /** Nets of the build's circuit; none ends it. Only the first MOST_LEVELS are used. */
  choose(nets: readonly string[]): void {
    this.#nets = nets.slice(0, MOST_LEVELS);
    this.#place[0] = 0;
    this.#peaks.fill(0);
  }

  /** Takes the net's voltage. Real-time safe. */
  watch(volts: Float64Array, frames: number, restV: number): void {
    const peaks = this.#peaks;
    for (let frame = 0; frame < frames; frame++) {
      const moved = volts[frame]! - restV;
      if (moved > peaks[0]!) peaks[0] = moved;
      if (-moved > peaks[1]!) peaks[1] = -moved;
    }
  }

  /**
   * Writes the net's levels and goes on to the next one. Real-time safe.
   *
   * @param values Two for each net, from `start` on. @param isSeen False if the probe was elsewhere: then NaN.
   */
  turn(values: Float32Array, start: number, isSeen: boolean): void {
    const place = this.#place[0]!;
    values[start + 2 * place] = isSeen ? this.#peaks[0]! : Number.NaN;
    values[start + 2 * place + 1] = isSeen ? this.#peaks[1]! : Number.NaN;
    this.#peaks.fill(0);
    this.#place[0] = place + 1 < this.#nets.length ? place + 1 : 0;
  }
}
