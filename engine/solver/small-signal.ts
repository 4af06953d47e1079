import type { NodalSystem } from './nodal-system.ts';
import type { SparseEquations } from './sparse-equations.ts';

/** Rates, 1/s, that an elimination order must suit: at rest, and from below to above the audio range. */
const PLANNED_RATES = [1e-6, 1e2, 1e5];

/**
 * A nodal system linearised at an operating point, (∂F/∂v + jω·C + Γ/jω)·v = b. Nothing except `plan` allocates.
 */
export class SmallSignal {
  readonly #system: NodalSystem;
  readonly #equations: SparseEquations;

  constructor(system: NodalSystem, equations: SparseEquations) {
    this.#system = system;
    this.#equations = equations;
  }

  /** Linearises the system for its present numbers. @param volts Of the nodes at rest. @param inductorA At rest. */
  linearise(volts: Float64Array, inductorA: Float64Array): void {
    this.#system.inductorA.set(inductorA);
    this.#system.inductorS.fill(0);
    this.#system.evaluate(volts, 0);
    this.#system.completeLoads();
  }

  /** Chooses the order in which the equations are solved, from the present numbers, after the system is linearised. */
  plan(): void {
    const { jacobian, capacitance, reciprocalInductance } = this.#system;
    this.#equations.plan(
      PLANNED_RATES.map((rate) =>
        jacobian.map(
          (slope, place) => slope + rate * capacitance[place]! + reciprocalInductance[place]! / rate,
        ),
      ),
    );
  }

  /**
   * Solves for 1 V at the input; then the equations' x has the voltages of all nodes.
   *
   * @returns Whether there is a solution.
   */
  respond(hz: number): boolean {
    this.prepare(hz);
    this.#equations.b[this.#system.structure.input] = 1;
    return this.#equations.solve();
  }

  /** Solves the adjoint equations for a node: then x has the effect on this node of one unit in each row. */
  adjoin(hz: number, node: number): boolean {
    this.prepare(hz);
    this.#equations.b[node] = 1;
    return this.#equations.solveTransposed();
  }

  /**
   * Sets the equations up for a frequency, with nothing that drives them: the caller writes that into b and solves. One in
   * the row of a node is 1 A into it, or 1 V at a source or the input.
   */
  prepare(hz: number): void {
    const { jacobian, capacitance, reciprocalInductance } = this.#system;
    const { re, im, b } = this.#equations;
    const omega = 2 * Math.PI * hz;
    re.set(jacobian);
    for (let place = 0; place < im.length; place++) {
      im[place] = omega * capacitance[place]! - reciprocalInductance[place]! / omega;
    }
    b.fill(0);
    this.#equations.factorise();
  }
}
