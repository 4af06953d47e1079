import { oneLine } from '../../engine/input/shown-text.ts';

/** What a problem of the sound is about. One of each stays on the page until that is mended, or it is dismissed. */
export type ProblemCause =
  /** Sound could not be started, or was stopped by something else than the bench. */
  | 'sound'
  /** The rate of the output device. */
  | 'outputRate'
  /** What plays. */
  | 'source'
  | 'roundTrip'
  /** Gaps for want of time. */
  | 'dropouts'
  /** How swaps are prepared. */
  | 'swaps';

/** In plain words, with what to do; the oldest first. */
export type Problems = Readonly<Partial<Record<ProblemCause, string>>>;

/** A sentence with what to do may fill two lines; a device's name of any length may not. */
const MOST_CHARACTERS = 400;

/** The problems with another message for a cause; undefined where it is mended. The same object where nothing changes. */
export function withProblem(problems: Problems, cause: ProblemCause, message: string | undefined): Problems {
  const text = message === undefined ? undefined : oneLine(message, MOST_CHARACTERS);
  if (problems[cause] === text) return problems;
  const { [cause]: _, ...others } = problems;
  return text === undefined ? others : { ...others, [cause]: text };
}
