/** One thing that is wrong with a build: where it stands, as a path such as "parts.R4.value", and a sentence. */
export interface BuildProblem {
  readonly path: string;
  readonly message: string;
}

/** A build, or a change to one, that is refused whole. All problems are collected. */
export class BuildError extends Error {
  readonly problems: readonly BuildProblem[];
  constructor(problems: readonly BuildProblem[]) {
    super(problems.map(({ message }) => message).join(' '));
    this.name = 'BuildError';
    this.problems = problems;
  }
}
