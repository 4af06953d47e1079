import type { RefusalCode } from '../../engine/input/refusal.ts';
import type { EarJob, EarResults } from './ear-jobs.ts';

/** Every message between the page and a worker that renders. */

export interface ToEarWorker {
  readonly id: number;
  readonly job: EarJob;
}

export type FromEarWorker =
  | { readonly id: number; readonly kind: 'progress'; readonly share: number }
  | { readonly id: number; readonly kind: 'result'; readonly result: EarResults[EarJob['kind']] }
  /** Why it cannot be done, in a sentence. */
  | { readonly id: number; readonly kind: 'refused'; readonly code: RefusalCode; readonly message: string };
