import { MOST_LEVELS } from './bench-messages.ts';

/**
 * Looks at one net after another while a build plays, and says how far each went from rest. One probe serves them
 * all, so that it costs no more than one.
 */
export class LevelScan {
  #nets: readonly string[] = [];
  /** Which net is looked at. */
  readonly #place = new Int32Array(1);
  /** How far it went upwards and downwards, V. */
  readonly #peaks = new Float64Array(2);

  /** The net that is looked at; undefined where none is. */
  get net(): string | undefined {
    return this.#nets[this.#place[0]!];
  }

  /** Nets of the build's circuit; none ends it. Those past MOST_LEVELS are left out. */
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
   * Writes what was seen of the net and goes on to the next one. Real-time safe.
   *
   * @param values Two for each net, from `start` on. @param isSeen False where the probe was elsewhere: then NaN.
   */
  turn(values: Float32Array, start: number, isSeen: boolean): void {
    const place = this.#place[0]!;
    values[start + 2 * place] = isSeen ? this.#peaks[0]! : Number.NaN;
    values[start + 2 * place + 1] = isSeen ? this.#peaks[1]! : Number.NaN;
    this.#peaks.fill(0);
    this.#place[0] = place + 1 < this.#nets.length ? place + 1 : 0;
  }
}
