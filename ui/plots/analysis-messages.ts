import type { Analyses, Query } from './plot-analysis.ts';

/** Every message between the page and the worker that analyses. */

export interface ToAnalyser {
  readonly id: number;
  readonly query: Query;
}

/** Answer to a query: a result, none, or why it cannot be solved. */
export type Answer<K extends Query['kind'] = Query['kind']> =
  | { readonly kind: 'result'; readonly result: Analyses[K] }
  | { readonly kind: 'none' }
  | { readonly kind: 'refused'; readonly message: string };

export interface FromAnalyser {
  readonly id: number;
  readonly answer: Answer;
}
