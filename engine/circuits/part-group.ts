/** Parts of one kind that do one job, so that a builder swaps them together: the pair of clipping diodes. */
export interface PartGroup {
  /** Lower case, as in a sentence: "clipping pair". */
  readonly name: string;
  /** At least two reference designators of parts of one kind; a package by its own. */
  readonly parts: readonly string[];
  /** A swap of one of them is a swap of all, unless one alone is asked for. */
  readonly isUsual?: boolean;
}
