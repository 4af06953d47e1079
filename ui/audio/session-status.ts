import { type AudioState, startingAudioState } from './audio-state.ts';
import { type ProblemCause, type Problems, withProblem } from './problems.ts';

/** What the page knows of the sound, as all parts of the session change it. */
export class SessionStatus {
  #state: AudioState = startingAudioState();
  readonly #changed: () => void;

  /** @param changed Called after each change. */
  constructor(changed: () => void) {
    this.#changed = changed;
  }

  get state(): AudioState {
    return this.#state;
  }

  change(change: Partial<AudioState>): void {
    this.#state = { ...this.#state, ...change };
    this.#changed();
  }

  /** Sets the problem of a cause; undefined when it is solved or dismissed. */
  report(cause: ProblemCause, message: string | undefined): void {
    const problems = this.problems(cause, message);
    if (problems !== this.#state.problems) this.change({ problems });
  }

  /** The problems with that one. */
  problems(cause: ProblemCause, message: string | undefined): Problems {
    return withProblem(this.#state.problems, cause, message);
  }
}
