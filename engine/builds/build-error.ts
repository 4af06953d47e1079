import type { CircuitProblem } from '../circuits/circuit-problem.ts';
import { Refusal, type RefusalCode } from '../input/refusal.ts';
import { oneLine, sentencesInLine } from '../input/shown-text.ts';

/** One problem of a build: a code that stays the same, its place, as a path such as "parts.R4.value", and a sentence. */
export interface BuildProblem {
  readonly code:
    | 'not-a-build'
    | 'too-long'
    | 'unknown-version'
    | 'unknown-circuit'
    | 'unknown-revision'
    | 'unknown-key'
    | 'unknown-part'
    | 'wrong-shape'
    | 'walled-in'
    | 'bad-part'
    | 'bad-knob'
    | 'bad-switch'
    | 'bad-bypass'
    | 'bad-name'
    | 'bad-text'
    /** Of the text at a part. */
    | RefusalCode
    /** Of the circuit that the file brings. */
    | CircuitProblem['code'];
  readonly path: string;
  readonly message: string;
}

/** A build, or a change to one, that is refused whole. All problems are collected; the message shows the first of them. */
export class BuildError extends Refusal {
  readonly problems: readonly BuildProblem[];
  constructor(problems: readonly BuildProblem[]) {
    super('build', sentencesInLine(problems.map(({ message }) => message)));
    this.name = 'BuildError';
    this.problems = problems.map(({ code, path, message }) => ({ code, path, message: oneLine(message) }));
  }
}
