import { Refusal } from '../input/refusal.ts';
import { sentencesInLine } from '../input/shown-text.ts';

/** One problem of a network: a stable code, the place, and a sentence with the remedy. */
export interface NetworkProblem {
  readonly code:
    | 'floating-net'
    | 'unpowered'
    | 'driven-twice'
    | 'no-output'
    | 'unsupported-source'
    | 'unlimited-current'
    | 'singular-block';
  readonly place: string;
  readonly message: string;
}

/** A network that cannot be solved. All problems are collected; the message shows the first of them. */
export class NetworkError extends Refusal {
  readonly problems: readonly NetworkProblem[];
  constructor(problems: readonly NetworkProblem[]) {
    super('network', sentencesInLine(problems.map(({ message }) => message)));
    this.name = 'NetworkError';
    this.problems = problems;
  }
}
