import { underrunsOf } from './latency.ts';

/** Browsers may lock the audio graph to answer, so that a page which asks in every frame can hold it up. */
const INTERVAL_MS = 500;

/** Asks a context twice a second what it says of its playback, never in a frame. */
export class ContextWatch {
  #timer: ReturnType<typeof setInterval> | undefined;
  #underruns: number | undefined;

  /** Gaps in the sound since the context was opened; undefined where the browser does not count them. */
  get underruns(): number | undefined {
    return this.#underruns;
  }

  /** @param onAsked Called each time that the context was asked, for what else is to be read then. */
  begin(context: AudioContext, onAsked: () => void): void {
    this.end();
    this.#timer = setInterval(() => {
      this.#underruns = underrunsOf(context);
      onAsked();
    }, INTERVAL_MS);
  }

  end(): void {
    clearInterval(this.#timer);
    this.#underruns = undefined;
  }
}
