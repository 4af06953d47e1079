import { ComplexRows } from './complex-rows.ts';
import type { EliminationPlan } from './elimination-plan.ts';
import type { NodalSystem } from './nodal-system.ts';
import type { SmallSignal } from './small-signal.ts';
import type { SparseEquations } from './sparse-equations.ts';

/**
 * Backward error up to which a solution is accepted: that of a circuit whose parts are that much off, each by a share of its value. A
 * hundred times that of `SparseEquations`, which would solve every seventh frequency of clean-plain once more.
 */
const GOOD_ERROR = 1e-11;

/**
 * The response of a linearised system to 1 V at its input, at many frequencies together: (∂F/∂v + jω·C + Γ/jω)·v = b.
 *
 * Each product of the elimination is made for all frequencies before the next one, so that the lists of places are read once
 * and the numbers lie side by side. Order, products and check of the solutions are those of `SparseEquations`; where a
 * solution does not pass the check, they solve it again.
 *
 * Nothing except the constructor allocates; numbers that are not whole are passed by their places, since V8 would box them.
 */
export class FrequencySweep {
  /** With a number for each frequency: the matrix and its fill-in by place, the right side by row, the solution by node. */
  readonly #rows: ComplexRows;
  readonly #rightSide: number;
  readonly #solution: number;
  readonly #hz: Float64Array;
  /** 2π·f */
  readonly #omegas: Float64Array;
  readonly #system: NodalSystem;
  readonly #smallSignal: SmallSignal;
  readonly #equations: SparseEquations;
  readonly #plan: EliminationPlan | undefined;
  /** ω·C − Γ/ω by place of the matrix and frequency, and whether a place has any. */
  readonly #reactive: Float64Array;
  readonly #isReactive: Uint8Array;
  /** By step: whether anything of the right side gets there. */
  readonly #isReached: Uint8Array;
  /** |A|·|x| + |b| by row and frequency, and |x| by node and frequency: see `SparseEquations`. */
  readonly #most: Float64Array;
  readonly #sizes: Float64Array;
  /** By frequency: 1 where the solution does not pass the check. */
  readonly #isBad: Uint8Array;

  /** @param equations With their plan. */
  constructor(
    system: NodalSystem,
    smallSignal: SmallSignal,
    equations: SparseEquations,
    hz: readonly number[],
  ) {
    const { size, pattern, structure } = system;
    this.#hz = Float64Array.from(hz);
    this.#omegas = this.#hz.map((each) => 2 * Math.PI * each);
    this.#system = system;
    this.#smallSignal = smallSignal;
    this.#equations = equations;
    this.#plan = equations.elimination;
    this.#rightSide = this.#plan?.places ?? 0;
    this.#solution = this.#rightSide + size;
    this.#rows = new ComplexRows(this.#solution + size, hz.length);
    this.#reactive = new Float64Array(pattern.count * hz.length);
    this.#isReactive = new Uint8Array(pattern.count);
    this.#isReached = this.#plan ? stepsReached(this.#plan, structure.input) : new Uint8Array(0);
    this.#most = new Float64Array(size * hz.length);
    this.#sizes = new Float64Array(size * hz.length);
    this.#isBad = new Uint8Array(hz.length);
  }

  /** Solves at all frequencies. @returns Index of the first that has no solution; −1 where all have one. */
  respond(): number {
    if (this.#plan) {
      this.#fill();
      this.#factorise(this.#plan);
      this.#substitute(this.#plan);
      this.#check();
    } else this.#isBad.fill(1);
    for (let index = 0; index < this.#hz.length; index++)
      if (this.#isBad[index] === 1 && !this.#solveAlone(index)) return index;
    return -1;
  }

  /** Squares of the voltages of a node, V²; 0 below the first, which is ground. @param out One for each frequency, from the index `first`. */
  readSquares(node: number, out: Float64Array, first: number): void {
    const { re, im, width } = this.#rows;
    if (node < 0) {
      out.fill(0, first, first + width);
      return;
    }
    const from = (this.#solution + node) * width;
    for (let index = 0; index < width; index++)
      out[first + index] = re[from + index]! ** 2 + im[from + index]! ** 2;
  }

  #fill(): void {
    const { jacobian, structure } = this.#system;
    const rows = this.#rows;
    for (let place = 0; place < jacobian.length; place++) this.#fillPlace(place);
    rows.fill(jacobian.length, this.#solution, 0);
    rows.fill(this.#rightSide + structure.input, this.#rightSide + structure.input + 1, 1);
  }

  #fillPlace(place: number): void {
    const { re, im, width } = this.#rows;
    const reactive = this.#reactive;
    const omegas = this.#omegas;
    const slope = this.#system.jacobian[place]!;
    const farads = this.#system.capacitance[place]!;
    const perHenry = this.#system.reciprocalInductance[place]!;
    const from = place * width;
    const isReactive = farads !== 0 || perHenry !== 0;
    this.#isReactive[place] = isReactive ? 1 : 0;
    for (let index = 0; index < width; index++) re[from + index] = slope;
    if (!isReactive) {
      im.fill(0, from, from + width);
      return;
    }
    for (let index = 0; index < width; index++) {
      const siemens = omegas[index]! * farads - perHenry / omegas[index]!;
      reactive[from + index] = siemens;
      im[from + index] = siemens;
    }
  }

  /** Eliminates the matrix: 1/D in the pivots' rows, U without its diagonal of ones, and L·D. */
  #factorise({ size, pivots, lower, upper, targets }: EliminationPlan): void {
    const rows = this.#rows;
    let product = 0;
    for (let step = 0; step < size; step++) {
      const pivot = pivots[step]!;
      rows.invert(pivot);
      for (let beside = upper.starts[step]!; beside < upper.starts[step + 1]!; beside++)
        rows.multiply(upper.places[beside]!, upper.places[beside]!, pivot);
      for (let below = lower.starts[step]!; below < lower.starts[step + 1]!; below++)
        for (let beside = upper.starts[step]!; beside < upper.starts[step + 1]!; beside++)
          rows.subtractProduct(targets[product++]!, lower.places[below]!, upper.places[beside]!);
    }
  }

  #substitute({ size, pivots, pivotRows, pivotColumns, lower, upper }: EliminationPlan): void {
    const rows = this.#rows;
    for (let step = 0; step < size; step++) {
      const own = this.#solution + pivotColumns[step]!;
      if (this.#isReached[step] === 0) {
        rows.fill(own, own + 1, 0);
        continue;
      }
      rows.multiply(own, this.#rightSide + pivotRows[step]!, pivots[step]!);
      for (let below = lower.starts[step]!; below < lower.starts[step + 1]!; below++)
        rows.subtractProduct(this.#rightSide + lower.indices[below]!, own, lower.places[below]!);
    }
    for (let step = size - 1; step >= 0; step--) {
      const own = this.#solution + pivotColumns[step]!;
      for (let beside = upper.starts[step]!; beside < upper.starts[step + 1]!; beside++)
        rows.subtractProduct(own, this.#solution + upper.indices[beside]!, upper.places[beside]!);
    }
  }

  /** Finds the backward error of every row at every frequency: see `SparseEquations`. */
  #check(): void {
    const { size, structure } = this.#system;
    const { places, rows: rowsOf, columns } = this.#equations;
    const rows = this.#rows;
    const { width } = rows;
    const input = structure.input;
    rows.fill(this.#rightSide, this.#solution, 0);
    rows.fill(this.#rightSide + input, this.#rightSide + input + 1, 1);
    this.#most.fill(0);
    this.#most.fill(1, input * width, (input + 1) * width);
    this.#findSizes();
    for (let entry = 0; entry < places.length; entry++) {
      const place = places[entry]!;
      const row = rowsOf[entry]!;
      const column = columns[entry]!;
      if (this.#isReactive[place] === 1) this.#takeReactive(place, row, column);
      else this.#takeReal(place, row, column);
    }
    this.#isBad.fill(0);
    for (let row = 0; row < size; row++) this.#judge(row);
  }

  #findSizes(): void {
    const { re, im, width } = this.#rows;
    const sizes = this.#sizes;
    const from = this.#solution * width;
    for (let index = 0; index < sizes.length; index++)
      sizes[index] = Math.abs(re[from + index]!) + Math.abs(im[from + index]!);
  }

  /** Subtracts from the right side what an entry of the matrix makes of the solution, and adds how much that is. */
  #takeReal(place: number, row: number, column: number): void {
    const { re, im, width } = this.#rows;
    const most = this.#most;
    const sizes = this.#sizes;
    const slope = this.#system.jacobian[place]!;
    const size = Math.abs(slope);
    const to = (this.#rightSide + row) * width;
    const from = (this.#solution + column) * width;
    const into = row * width;
    const by = column * width;
    for (let index = 0; index < width; index++) {
      re[to + index]! -= slope * re[from + index]!;
      im[to + index]! -= slope * im[from + index]!;
      most[into + index]! += size * sizes[by + index]!;
    }
  }

  #takeReactive(place: number, row: number, column: number): void {
    const { re, im, width } = this.#rows;
    const most = this.#most;
    const sizes = this.#sizes;
    const reactive = this.#reactive;
    const slope = this.#system.jacobian[place]!;
    const size = Math.abs(slope);
    const to = (this.#rightSide + row) * width;
    const from = (this.#solution + column) * width;
    const own = place * width;
    const into = row * width;
    const by = column * width;
    for (let index = 0; index < width; index++) {
      const siemens = reactive[own + index]!;
      const c = re[from + index]!;
      const d = im[from + index]!;
      re[to + index]! -= slope * c - siemens * d;
      im[to + index]! -= slope * d + siemens * c;
      most[into + index]! += (size + Math.abs(siemens)) * sizes[by + index]!;
    }
  }

  #judge(row: number): void {
    const { re, im, width } = this.#rows;
    const most = this.#most;
    const from = (this.#rightSide + row) * width;
    const own = row * width;
    for (let index = 0; index < width; index++) {
      const left = Math.abs(re[from + index]!) + Math.abs(im[from + index]!);
      // True also for what is not a number.
      if (!(left <= GOOD_ERROR * most[own + index]!)) this.#isBad[index] = 1;
    }
  }

  #solveAlone(index: number): boolean {
    // A frequency that is not a whole number is an object in memory; this is rare.
    if (!this.#smallSignal.respond(this.#hz[index]!)) return false;
    const { re, im, width } = this.#rows;
    for (let node = 0; node < this.#system.size; node++) {
      re[(this.#solution + node) * width + index] = this.#equations.xRe[node]!;
      im[(this.#solution + node) * width + index] = this.#equations.xIm[node]!;
    }
    return true;
  }
}

/** Which steps of the substitution the right side reaches that has one number, in the row of the input. */
function stepsReached({ size, pivotRows, lower }: EliminationPlan, input: number): Uint8Array {
  const isLeft = new Uint8Array(size);
  isLeft[input] = 1;
  return Uint8Array.from({ length: size }, (_, step) => {
    if (isLeft[pivotRows[step]!] === 0) return 0;
    for (let below = lower.starts[step]!; below < lower.starts[step + 1]!; below++)
      isLeft[lower.indices[below]!] = 1;
    return 1;
  });
}
