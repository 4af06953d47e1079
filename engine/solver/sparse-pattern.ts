/** More than any network has nodes. */
const MOST_COLUMNS = 2 ** 20;

/**
 * Places of the entries of sparse matrices of one structure. A matrix is an array with one number for each place;
 * place 0 receives values without an entry (a row or column of ground), so that adding to a matrix needs no test.
 */
export class SparsePattern {
  static readonly NOWHERE = 0;
  /** For each place; −1 for NOWHERE. */
  readonly rows: number[] = [-1];
  readonly columns: number[] = [-1];
  readonly #places = new Map<number, number>();

  /** Place of an entry, which is added if it does not exist. @param row,column Negative for ground. */
  place(row: number, column: number): number {
    if (row < 0 || column < 0) return SparsePattern.NOWHERE;
    const key = row * MOST_COLUMNS + column;
    const before = this.#places.get(key);
    if (before !== undefined) return before;
    this.#places.set(key, this.rows.length);
    this.rows.push(row);
    this.columns.push(column);
    return this.rows.length - 1;
  }

  placesOfRow(row: number): readonly number[] {
    return this.rows.flatMap((each, place) =>
      each === row && place !== SparsePattern.NOWHERE ? [place] : [],
    );
  }

  /** Number of places including NOWHERE. */
  get count(): number {
    return this.rows.length;
  }
}
