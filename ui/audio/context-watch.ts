import { ClockGaps } from './clock-gaps.ts';
import { underrunsOf } from './latency.ts';

/** Browsers may lock the audio graph to answer, so that a page which asks in every frame can hold it up. */
const INTERVAL_MS = 500;

/** Asks a context twice a second what it says of its playback, never in a frame. */
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
      // What came while sound began is no fault of the rate.
      onAsked(before === undefined ? 0 : this.#underruns - before);
    }, INTERVAL_MS);
  }

  end(): void {
    clearInterval(this.#timer);
    this.#underruns = undefined;
  }
}
