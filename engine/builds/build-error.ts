import { Refusal } from '../input/refusal.ts';
import { oneLine, sentencesInLine } from '../input/shown-text.ts';

/** One problem of a build: its place, as a path such as "parts.R4.value", and a sentence. */
export interface BuildProblem {
  readonly path: string;
  readonly message: string;
}

/** A build, or a change to one, that is refused whole. All problems are collected; the message shows the first of them. */
export class BuildError extends Refusal {
  readonly problems: readonly BuildProblem[];
  constructor(problems: readonly BuildProblem[]) {
    super('build', sentencesInLine(problems.map(({ message }) => message)));
    this.name = 'BuildError';
    this.problems = problems.map(({ path, message }) => ({ path, message: oneLine(message) }));
  }
}
