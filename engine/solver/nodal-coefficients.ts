import type { BlockMemory } from './block-memory.ts';
import type { NodalPlan } from './compiled-circuit.ts';

/**
 * The numbers of a block that is solved by its node equations: the conductances, and what eliminating the nodes without
 * devices makes of them. The matrix is symmetric and positive definite, so no pivot is zero.
 *
 * Real-time safe except the constructor.
 */
export class NodalCoefficients {
  readonly #memory: BlockMemory;
  /** Row and column of each entry, and node and input of each side. */
  readonly #entries: Int32Array;
  readonly #sides: Int32Array;
  /** Eliminations one after the other: the pivot's place, how many are joined, their places, then those of all their pairs. */
  readonly #steps: Int32Array;

  constructor(plan: NodalPlan, memory: BlockMemory) {
    this.#memory = memory;
    this.#entries = Int32Array.from(plan.entries.flat());
    this.#sides = Int32Array.from(plan.sides.flat());
    const places = entryPlaces(plan);
    this.#steps = Int32Array.from(
      plan.linear.flatMap(({ node, later }) => [
        places(node, node),
        later.length,
        ...later.map((other) => places(node, other)),
        ...later.flatMap((a, index) => later.slice(index).map((b) => places(a, b))),
      ]),
    );
  }

  /**
   * Takes the equations of BlockCoefficients. @param matrix size×size, before its factorisation. @param sides size×width.
   * @param stateSiemens G_c of each state, S.
   */
  stamp(matrix: Float64Array, size: number, sides: Float64Array, stateSiemens: Float64Array): void {
    const { stateCount, width, nodalMatrix, nodalSides, nodalStates } = this.#memory;
    for (let index = 0; index < stateCount; index++) nodalStates[index] = stateSiemens[index]!;
    for (let index = 0; index < nodalSides.length; index++) {
      nodalSides[index] = sides[this.#sides[2 * index]! * width + stateCount + this.#sides[2 * index + 1]!]!;
    }
    for (let index = 0; index < nodalMatrix.length; index++) {
      nodalMatrix[index] = matrix[this.#entries[2 * index]! * size + this.#entries[2 * index + 1]!]!;
    }
  }

  /** Eliminates the nodes without devices: of each, 1/pivot takes the place of the diagonal, entry/pivot that of an entry. */
  eliminate(): void {
    const { nodalMatrix, nodalFactors: factors } = this.#memory;
    for (let index = 0; index < factors.length; index++) factors[index] = nodalMatrix[index]!;
    const steps = this.#steps;
    let at = 0;
    while (at < steps.length) {
      const diagonal = steps[at]!;
      const count = steps[at + 1]!;
      const first = at + 2;
      factors[diagonal] = 1 / factors[diagonal]!;
      let pair = first + count;
      for (let a = 0; a < count; a++) {
        const factor = factors[steps[first + a]!]! * factors[diagonal]!;
        for (let b = a; b < count; b++, pair++)
          factors[steps[pair]!]! -= factor * factors[steps[first + b]!]!;
        factors[steps[first + a]!] = factor;
      }
      at = pair;
    }
  }
}

/** Finds the place of a pair's entry. */
export function entryPlaces({ entries }: NodalPlan): (a: number, b: number) => number {
  const places = new Map(
    entries.flatMap(([a, b], index) => [
      [`${a} ${b}`, index],
      [`${b} ${a}`, index],
    ]),
  );
  return (a, b) => places.get(`${a} ${b}`) ?? -1;
}
