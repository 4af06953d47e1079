import type { SparsePattern } from './sparse-pattern.ts';

/**
 * Gaussian elimination of sparse equations of one structure as lists of places, found once: the pivot of
 * each step, the entries below it and beside it, and the entry from which each product of the two is subtracted.
 * Entries that
 * elimination adds (fill-in) have places after those of the matrix.
 */
export interface EliminationPlan {
  /** Number of equations, and therefore of steps. */
  readonly size: number;
  /** Number of places for the matrix and its fill-in. */
  readonly places: number;
  /** The pivots' places, by step. */
  readonly pivots: Int32Array;
  readonly pivotRows: Int32Array;
  readonly pivotColumns: Int32Array;
  /** Entries of the pivot's column in the remaining rows, by their rows. */
  readonly lower: Triangle;
  /** Entries of the pivot's row in the remaining columns, by their columns. */
  readonly upper: Triangle;
  /**
   * For each step, each of its lower entries and each of its upper ones: the entry from which their product is
   * subtracted.
   */
  readonly targets: Int32Array;
}

/** Entries beside the pivots, step after step. */
export interface Triangle {
  /** The index where the entries of each step begin, and where those of the last step end. */
  readonly starts: Int32Array;
  readonly places: Int32Array;
  /** Row or column of each. */
  readonly indices: Int32Array;
}

/** A pivot is at least this fraction of the largest remaining entry in its row. */
const LEAST_SHARE = 0.01;

/**
 * Chooses the pivots: of the entries that are large enough in their rows, in all samples, the one with the fewest
 * products (Markowitz count). Large in its row, not in its column: some rows are in amperes and others in volts.
 *
 * @param size Rows and columns from 0 to below `size` are used.
 * @param samples Matrices of the structure, of the kind that will be solved; sizes count, signs matter.
 * @returns Undefined if one of them is singular.
 * @see H. M. Markowitz, "The elimination form of the inverse and its application to linear programming", Management
 * Science 3 (1957), 255; K. S. Kundert, "Sparse matrix techniques", in: Circuit Analysis, Simulation and Design (1986),
 * from memory, on its use with a threshold in circuit simulation
 */
export function eliminationPlan(
  pattern: SparsePattern,
  size: number,
  samples: readonly Float64Array[],
): EliminationPlan | undefined {
  const elimination = new Elimination(pattern, size, samples);
  for (let step = 0; step < size; step++) {
    if (!elimination.eliminate()) return undefined;
  }
  return elimination.plan();
}

/** The elimination of the samples. Rows and columns are numbered as in the matrix. */
class Elimination {
  readonly #size: number;
  /** By row and column: the entry's place, or −1. */
  readonly #places: Int32Array;
  /** Values of each sample, by row and column. */
  readonly #values: readonly Float64Array[];
  #rowsLeft: readonly number[];
  #columnsLeft: readonly number[];
  #count: number;
  readonly #pivots: number[] = [];
  readonly #pivotRows: number[] = [];
  readonly #pivotColumns: number[] = [];
  readonly #lower = new TriangleList();
  readonly #upper = new TriangleList();
  readonly #targets: number[] = [];

  constructor(pattern: SparsePattern, size: number, samples: readonly Float64Array[]) {
    this.#size = size;
    this.#places = new Int32Array(size * size).fill(-1);
    this.#values = samples.map(() => new Float64Array(size * size));
    this.#count = pattern.count;
    for (let place = 0; place < pattern.count; place++) {
      const row = pattern.rows[place]!;
      if (row < 0 || row >= size) continue;
      const entry = row * size + pattern.columns[place]!;
      this.#places[entry] = place;
      samples.forEach((sample, index) => {
        this.#values[index]![entry] = sample[place]!;
      });
    }
    this.#rowsLeft = Array.from({ length: size }, (_, row) => row);
    this.#columnsLeft = this.#rowsLeft;
  }

  /** One step. @returns False if no remaining entry can be a pivot. */
  eliminate(): boolean {
    const pivot = this.#choose();
    if (pivot < 0) return false;
    const size = this.#size;
    const column = pivot % size;
    const row = (pivot - column) / size;
    this.#rowsLeft = this.#rowsLeft.filter((other) => other !== row);
    this.#columnsLeft = this.#columnsLeft.filter((other) => other !== column);
    const below = this.#rowsLeft.filter((other) => this.#places[other * size + column]! >= 0);
    const beside = this.#columnsLeft.filter((other) => this.#places[row * size + other]! >= 0);
    this.#pivots.push(this.#places[pivot]!);
    this.#pivotRows.push(row);
    this.#pivotColumns.push(column);
    this.#lower.add(below, (other) => this.#places[other * size + column]!);
    this.#upper.add(beside, (other) => this.#places[row * size + other]!);
    for (const other of below) for (const by of beside) this.#subtract(pivot, other, by);
    return true;
  }

  plan(): EliminationPlan {
    return {
      size: this.#size,
      places: this.#count,
      pivots: Int32Array.from(this.#pivots),
      pivotRows: Int32Array.from(this.#pivotRows),
      pivotColumns: Int32Array.from(this.#pivotColumns),
      lower: this.#lower.triangle(),
      upper: this.#upper.triangle(),
      targets: Int32Array.from(this.#targets),
    };
  }

  /**
   * Place by row and column of the next pivot; −1 if there is none. A small entry is used only if there is no other.
   */
  #choose(): number {
    let best = -1;
    let bestCost = Number.POSITIVE_INFINITY;
    let bestShare = 0;
    const inColumn = this.#entriesInColumns();
    for (const row of this.#rowsLeft) {
      const start = row * this.#size;
      const columns = this.#columnsLeft.filter((column) => this.#places[start + column]! >= 0);
      for (const column of columns) {
        const cost = (columns.length - 1) * (inColumn[column]! - 1);
        if (cost > bestCost && bestShare >= LEAST_SHARE) continue;
        const share = this.#leastShare(start, columns, column);
        const isBetter =
          Math.min(share, LEAST_SHARE) > Math.min(bestShare, LEAST_SHARE) ||
          (share >= LEAST_SHARE && (cost < bestCost || (cost === bestCost && share > bestShare)));
        if (!isBetter) continue;
        best = start + column;
        bestCost = cost;
        bestShare = share;
      }
    }
    return best;
  }

  #entriesInColumns(): Int32Array {
    const counts = new Int32Array(this.#size);
    for (const row of this.#rowsLeft) {
      for (const column of this.#columnsLeft) {
        if (this.#places[row * this.#size + column]! >= 0) counts[column]!++;
      }
    }
    return counts;
  }

  /** An entry's size divided by the largest in its row: the smallest such ratio of all samples. */
  #leastShare(start: number, columns: readonly number[], column: number): number {
    let least = 1;
    for (const values of this.#values) {
      let largest = 0;
      for (const other of columns) largest = Math.max(largest, Math.abs(values[start + other]!));
      least = Math.min(least, Math.abs(values[start + column]!) / largest);
    }
    return least;
  }

  /** Subtracts the product of the entries below and beside the pivot from the entry at that row and column. */
  #subtract(pivot: number, row: number, column: number): void {
    const size = this.#size;
    const pivotColumn = pivot % size;
    const target = row * size + column;
    if (this.#places[target]! < 0) this.#places[target] = this.#count++;
    this.#targets.push(this.#places[target]!);
    for (const values of this.#values) {
      const factor = values[row * size + pivotColumn]! / values[pivot]!;
      values[target]! -= factor * values[pivot - pivotColumn + column]!;
    }
  }
}

class TriangleList {
  readonly #starts = [0];
  readonly #places: number[] = [];
  readonly #indices: number[] = [];

  /** The entries of one step. */
  add(indices: readonly number[], placeOf: (index: number) => number): void {
    this.#indices.push(...indices);
    this.#places.push(...indices.map(placeOf));
    this.#starts.push(this.#places.length);
  }

  triangle(): Triangle {
    return {
      starts: Int32Array.from(this.#starts),
      places: Int32Array.from(this.#places),
      indices: Int32Array.from(this.#indices),
    };
  }
}
