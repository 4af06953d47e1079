import type { BenchState } from './bench-state.ts';

/** What an action has changed in the bench. */
export class BenchChange extends Event {
  readonly before: BenchState;
  readonly after: BenchState;
  readonly #fields: ReadonlySet<keyof BenchState>;

  constructor(before: BenchState, after: BenchState) {
    super('change');
    this.before = before;
    this.after = after;
    const fields = Object.keys(after) as (keyof BenchState)[];
    this.#fields = new Set(fields.filter((field) => before[field] !== after[field]));
  }

  /** Whether one of these fields of the state has another value or object. */
  isOf(...fields: readonly (keyof BenchState)[]): boolean {
    return fields.some((field) => this.#fields.has(field));
  }
}
