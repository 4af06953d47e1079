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
  | 'dropouts';

/** In plain words, with what to do; the oldest first. */
export type Problems = Readonly<Partial<Record<ProblemCause, string>>>;

/** The problems with another message for a cause; undefined where it is mended. The same object where nothing changes. */
export function withProblem(problems: Problems, cause: ProblemCause, message: string | undefined): Problems {
  if (problems[cause] === message) return problems;
  const { [cause]: _, ...others } = problems;
  return message === undefined ? others : { ...others, [cause]: message };
}
