import { solveComplex } from './dense-linear.ts';
import { type EliminationPlan, eliminationPlan, type Triangle } from './elimination-plan.ts';
import type { SparsePattern } from './sparse-pattern.ts';

/** Backward error up to which a solution is accepted, and up to which it is refined. */
const GOOD_ERROR = 1e-13;
const REFINABLE_ERROR = 1e-3;
const MOST_REFINEMENTS = 4;

/**
 * Complex equations of one structure, A·x = b, solved many times with different numbers: `plan` fixes the order of
 * elimination, and each solution checks itself. If the order does not suit the numbers, dense elimination with
 * pivoting replaces it. Real equations have `im` zero.
 *
 * The check is the backward error, max_i |b − A·x|_i / (|A|·|x| + |b|)_i: the relative change of the numbers of A and b
 * with which x would solve them exactly. Each row counts separately, whatever its unit.
 *
 * Nothing except the constructor and `plan` allocates.
 *
 * @see M. Arioli, J. W. Demmel, I. S. Duff, "Solving sparse linear systems with sparse backward error", SIAM J. Matrix
 * Anal. Appl. 10 (1989), 165
 */
export class SparseEquations {
  /** Numbers of A by the places of the pattern, to be set before `factorise`. */
  readonly re: Float64Array;
  readonly im: Float64Array;
  /** Right side, real, to be set before `solve`. */
  readonly b: Float64Array;
  /** The solution. */
  readonly xRe: Float64Array;
  readonly xIm: Float64Array;
  /** Number of solutions that needed dense elimination, in its one entry. */
  readonly denseSolutions = new Int32Array(1);
  readonly #pattern: SparsePattern;
  readonly #size: number;
  /** Places of A that are used, with their rows and columns. */
  readonly places: Int32Array;
  readonly rows: Int32Array;
  readonly columns: Int32Array;
  readonly #denseRe: Float64Array;
  readonly #denseIm: Float64Array;
  #plan: EliminationPlan | undefined;
  /** After `factorise`: A = L·D·U, with 1/D in the pivots' places and the triangles without their diagonals of ones. */
  #luRe = new Float64Array(0);
  #luIm = new Float64Array(0);
  /** The residual of x, and its largest possible value. */
  readonly #leftRe: Float64Array;
  readonly #leftIm: Float64Array;
  readonly #most: Float64Array;
  /** Backward error of x, in its one entry: V8 would allocate a returned double. */
  readonly #error = new Float64Array(1);
  readonly #stepRe: Float64Array;
  readonly #stepIm: Float64Array;

  /** @param size The equations are the rows of the pattern from 0 to below `size`. */
  constructor(pattern: SparsePattern, size: number) {
    this.#pattern = pattern;
    this.#size = size;
    this.re = new Float64Array(pattern.count);
    this.im = new Float64Array(pattern.count);
    const places = pattern.rows.flatMap((row, place) => (row >= 0 && row < size ? [place] : []));
    this.places = Int32Array.from(places);
    this.rows = Int32Array.from(places, (place) => pattern.rows[place]!);
    this.columns = Int32Array.from(places, (place) => pattern.columns[place]!);
    this.#denseRe = new Float64Array(size * size);
    this.#denseIm = new Float64Array(size * size);
    this.b = new Float64Array(size);
    this.xRe = new Float64Array(size);
    this.xIm = new Float64Array(size);
    this.#leftRe = new Float64Array(size);
    this.#leftIm = new Float64Array(size);
    this.#most = new Float64Array(size);
    this.#stepRe = new Float64Array(size);
    this.#stepIm = new Float64Array(size);
  }

  /** Chooses the order of elimination. @param samples Numbers of A like those that will be solved. */
  plan(samples: readonly Float64Array[]): void {
    this.#plan = eliminationPlan(this.#pattern, this.#size, samples);
    this.#luRe = new Float64Array(this.#plan?.places ?? 0);
    this.#luIm = new Float64Array(this.#plan?.places ?? 0);
  }

  /** The order; undefined where the samples had none. */
  get elimination(): EliminationPlan | undefined {
    return this.#plan;
  }

  /** Eliminates A with its present numbers. */
  factorise(): void {
    const plan = this.#plan;
    if (!plan) return;
    const re = this.#luRe;
    const im = this.#luIm;
    const { lower, upper, targets } = plan;
    re.fill(0, this.re.length);
    im.fill(0, this.im.length);
    re.set(this.re);
    im.set(this.im);
    let product = 0;
    for (let step = 0; step < plan.size; step++) {
      this.#invert(plan.pivots[step]!);
      this.#divide(upper, step, plan.pivots[step]!);
      for (let below = lower.starts[step]!; below < lower.starts[step + 1]!; below++) {
        const a = re[lower.places[below]!]!;
        const b = im[lower.places[below]!]!;
        for (let beside = upper.starts[step]!; beside < upper.starts[step + 1]!; beside++) {
          const c = re[upper.places[beside]!]!;
          const d = im[upper.places[beside]!]!;
          const target = targets[product++]!;
          re[target]! -= a * c - b * d;
          im[target]! -= a * d + b * c;
        }
      }
      this.#divide(lower, step, plan.pivots[step]!);
    }
  }

  #invert(place: number): void {
    const a = this.#luRe[place]!;
    const b = this.#luIm[place]!;
    const square = a * a + b * b;
    this.#luRe[place] = a / square;
    this.#luIm[place] = -b / square;
  }

  /** Divides a step's entries by its pivot, which is already inverted. */
  #divide({ starts, places }: Triangle, step: number, pivot: number): void {
    const re = this.#luRe;
    const im = this.#luIm;
    const c = re[pivot]!;
    const d = im[pivot]!;
    for (let entry = starts[step]!; entry < starts[step + 1]!; entry++) {
      const place = places[entry]!;
      const a = re[place]!;
      const b = im[place]!;
      re[place] = a * c - b * d;
      im[place] = a * d + b * c;
    }
  }

  /** Solves A·x = b after `factorise`. @returns Whether there is a solution. */
  solve(): boolean {
    return this.#solve(false);
  }

  /** Solves Aᵀ·x = b after `factorise`. @returns Whether there is a solution. */
  solveTransposed(): boolean {
    return this.#solve(true);
  }

  #solve(isTransposed: boolean): boolean {
    if (!this.#plan) return this.#solveDense(isTransposed);
    this.xRe.fill(0);
    this.xIm.fill(0);
    this.#leftRe.set(this.b);
    this.#leftIm.fill(0);
    if (this.#approach(this.#plan, isTransposed)) return true;
    return this.#solveDense(isTransposed);
  }

  /** Solves by the plan, and then solves for the residual too. @returns Whether the error is small then. */
  #approach(
    { pivots, pivotRows, pivotColumns, lower, upper }: EliminationPlan,
    isTransposed: boolean,
  ): boolean {
    for (let refinement = 0; ; refinement++) {
      if (isTransposed) this.#substitute(upper, pivotColumns, lower, pivotRows, pivots);
      else this.#substitute(lower, pivotRows, upper, pivotColumns, pivots);
      for (let index = 0; index < this.#size; index++) {
        this.xRe[index]! += this.#stepRe[index]!;
        this.xIm[index]! += this.#stepIm[index]!;
      }
      this.#findLeft(isTransposed);
      this.#findError();
      if (this.#error[0]! <= GOOD_ERROR) return true;
      if (!(this.#error[0]! < REFINABLE_ERROR) || refinement === MOST_REFINEMENTS) return false;
    }
  }

  /**
   * Solves L·D·U·step = residual for `step`. Transposed it is Uᵀ·D·Lᵀ: the triangles are exchanged, and so are
   * rows and columns.
   *
   * @param first,from The triangle that is solved first, and the places of its unknowns in the residual.
   * @param second,to The other one, and the places of the solution.
   */
  #substitute(first: Triangle, from: Int32Array, second: Triangle, to: Int32Array, pivots: Int32Array): void {
    const re = this.#luRe;
    const im = this.#luIm;
    const leftRe = this.#leftRe;
    const leftIm = this.#leftIm;
    const stepRe = this.#stepRe;
    const stepIm = this.#stepIm;
    for (let step = 0; step < pivots.length; step++) {
      const a = leftRe[from[step]!]!;
      const b = leftIm[from[step]!]!;
      const pivot = pivots[step]!;
      stepRe[to[step]!] = a * re[pivot]! - b * im[pivot]!;
      stepIm[to[step]!] = a * im[pivot]! + b * re[pivot]!;
      for (let entry = first.starts[step]!; entry < first.starts[step + 1]!; entry++) {
        const place = first.places[entry]!;
        const index = first.indices[entry]!;
        leftRe[index]! -= a * re[place]! - b * im[place]!;
        leftIm[index]! -= a * im[place]! + b * re[place]!;
      }
    }
    for (let step = pivots.length - 1; step >= 0; step--) {
      const own = to[step]!;
      for (let entry = second.starts[step]!; entry < second.starts[step + 1]!; entry++) {
        const place = second.places[entry]!;
        const a = stepRe[second.indices[entry]!]!;
        const b = stepIm[second.indices[entry]!]!;
        stepRe[own]! -= a * re[place]! - b * im[place]!;
        stepIm[own]! -= a * im[place]! + b * re[place]!;
      }
    }
  }

  /** The residual of x, and |A|·|x| + |b|; magnitudes are real and imaginary part added. */
  #findLeft(isTransposed: boolean): void {
    const { re, im, xRe, xIm } = this;
    const leftRe = this.#leftRe;
    const leftIm = this.#leftIm;
    const most = this.#most;
    const rows = isTransposed ? this.columns : this.rows;
    const columns = isTransposed ? this.rows : this.columns;
    leftRe.set(this.b);
    leftIm.fill(0);
    for (let row = 0; row < this.#size; row++) most[row] = Math.abs(this.b[row]!);
    for (let index = 0; index < rows.length; index++) {
      const place = this.places[index]!;
      const row = rows[index]!;
      const a = re[place]!;
      const b = im[place]!;
      const c = xRe[columns[index]!]!;
      const d = xIm[columns[index]!]!;
      leftRe[row]! -= a * c - b * d;
      leftIm[row]! -= a * d + b * c;
      most[row]! += (Math.abs(a) + Math.abs(b)) * (Math.abs(c) + Math.abs(d));
    }
  }

  /** Not finite if a number of the solution is not finite. */
  #findError(): void {
    const error = this.#error;
    error[0] = 0;
    for (let row = 0; row < this.#size && error[0]! < Number.POSITIVE_INFINITY; row++) {
      const left = Math.abs(this.#leftRe[row]!) + Math.abs(this.#leftIm[row]!);
      if (!(left <= error[0]! * this.#most[row]!)) error[0] = left / this.#most[row]!;
    }
  }

  #solveDense(isTransposed: boolean): boolean {
    const { re, im, b, xRe, xIm } = this;
    const n = this.#size;
    this.denseSolutions[0]!++;
    this.#denseRe.fill(0);
    this.#denseIm.fill(0);
    for (let index = 0; index < this.places.length; index++) {
      const place = this.places[index]!;
      const row = this.rows[index]!;
      const column = this.columns[index]!;
      const entry = isTransposed ? column * n + row : row * n + column;
      this.#denseRe[entry] = re[place]!;
      this.#denseIm[entry] = im[place]!;
    }
    xRe.set(b);
    xIm.fill(0);
    return solveComplex(this.#denseRe, this.#denseIm, n, xRe, xIm) < 0;
  }
}
