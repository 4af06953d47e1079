/** Work in slices of some milliseconds each, so that other work can be done between two. */
export type Slices<Result> = Generator<undefined, Result, undefined>;

/** Does all of it at once. */
export function allSlices<Result>(work: Slices<Result>): Result {
  for (;;) {
    const { done, value } = work.next();
    if (done) return value;
  }
}
