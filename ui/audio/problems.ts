import { Refusal } from '../../engine/input/refusal.ts';
import { oneLine } from '../../engine/input/shown-text.ts';

/** Cause of a problem of the sound. One problem for each cause stays on the page until it is solved or dismissed. */
export type ProblemCause =
  /** Sound could not be started, or something other than the bench stopped it. */
  | 'sound'
  /** The rate of the output device. */
  | 'outputRate'
  /** The output device that was chosen. */
  | 'outputDevice'
  /** What plays. */
  | 'source'
  | 'roundTrip'
  /** Gaps because the machine is too slow. */
  | 'dropouts'
  /** How swaps are prepared. */
  | 'swaps';

/** In plain words, with what to do; the oldest first. */
export type Problems = Readonly<Partial<Record<ProblemCause, string>>>;

/** A sentence with what to do may fill two lines; a device's name of any length may not. */
const MOST_CHARACTERS = 400;

/** The problems with a new message for a cause; undefined when it is solved. The same object if nothing changes. */
export function withProblem(problems: Problems, cause: ProblemCause, message: string | undefined): Problems {
  const text = message === undefined ? undefined : oneLine(message, MOST_CHARACTERS);
  if (problems[cause] === text) return problems;
  const { [cause]: _, ...others } = problems;
  return text === undefined ? others : { ...others, [cause]: text };
}

/** Why sound could not be started. */
export function startProblem(error: unknown): string {
  if (error instanceof Refusal) return error.message;
  return `Sound could not be started (${error instanceof Error ? error.message : error}). Press Listen to try again.`;
}

/** Whether an error is a refusal by bench or browser, not a fault of the program. */
export function isRefused(error: unknown): error is Error {
  return error instanceof Refusal || error instanceof DOMException;
}
