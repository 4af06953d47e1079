import { ClockGaps } from './clock-gaps.ts';
import { underrunsOf } from './latency.ts';

/** Browsers may lock the audio graph to answer, so a page that asks in every frame can delay it. */
const INTERVAL_MS = 500;

/** Reads the playback state of a context twice a second, never in every frame. */
export class ContextWatch {
  #timer: ReturnType<typeof setInterval> | undefined;
  #underruns: number | undefined;

  /** Gaps in the sound since the context was opened; undefined before it was asked. */
  get underruns(): number | undefined {
    return this.#underruns;
  }

  /** @param onAsked Called each time that the context was asked, with the gaps since then, for what else is to be read. */
  begin(context: AudioContext, onAsked: (gaps: number) => void): void {
    this.end();
    const clock = new ClockGaps();
    this.#timer = setInterval(() => {
      const before = this.#underruns;
      // The audio clock can be read without a lock.
      this.#underruns = underrunsOf(context) ?? clock.read(performance.now() / 1000, context.currentTime);
      // Gaps while sound starts are not caused by the rate.
      onAsked(before === undefined ? 0 : this.#underruns - before);
    }, INTERVAL_MS);
  }

  end(): void {
    clearInterval(this.#timer);
    this.#underruns = undefined;
  }
}
