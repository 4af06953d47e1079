import { OPAMP_LEAST_V } from '../devices/opamp-equations.ts';
import type { NodalSystem } from './nodal-system.ts';
import { placeOf } from './parameters.ts';
import type { SparseEquations } from './sparse-equations.ts';

/** The result of a search: an operating point, one in which an op-amp has too little supply, or none. */
export type RestStatus = 'found' | 'starved' | 'unsettled';

const FIRST_STEP_S = 1e-6;
const STEP_GROWTH = 3;
const LAST_STEP_S = 1e10;
/**
 * Largest conductance of an inductor, S; it limits the step. Its current is a sum of conductance times voltage:
 * with more, the rounding of the voltage would matter; with this, 1 Ω leaves a thousandth of its error after
 * each step.
 */
const INDUCTOR_MAX_S = 1e3;
/** This many last steps let the current of an inductor settle with a few milliohms in series. */
const INDUCTOR_STEPS = 14;
const MAX_STEPS = 200;
/** Failed steps before the search ends. */
const MAX_FAILURES = 40;
const MAX_ITERATIONS = 150;
const STEP_TOLERANCE_V = 1e-12;
/** Accuracy of a net with a conductance of picosiemens, V. */
const ROUNDING_V = 1e-9;
/** Iterations of Newton's method with the full step; after them the step is halved until the equations hold better. */
const FREE_ITERATIONS = 20;
const MOST_HALVINGS = 10;
const ERROR_OHMS = 1e3;
/** Time in which a supply of usual parts has risen, s. */
const SETTLING_S = 1;
/** An operating point farther than this from ground is rounding, V: a net that floats behind transistors that do not conduct. */
const MOST_V = 1e4;

const HEADROOM_HIGH = placeOf('opamp', 'headroomHighV');
const HEADROOM_LOW = placeOf('opamp', 'headroomLowV');

/**
 * Finds the operating point of a nodal system with the input at 0 V, for its present numbers. `from` allocates nothing.
 */
export class RestSearch {
  /** The state that was reached last: node voltages, V, and currents of the inductors, A. */
  readonly volts: Float64Array;
  readonly inductorA: Float64Array;
  readonly #system: NodalSystem;
  readonly #equations: SparseEquations;
  /** In a step: its start, the state of Newton's iteration, its correction, and the state on trial. */
  readonly #before: Float64Array;
  readonly #now: Float64Array;
  readonly #correction: Float64Array;
  readonly #trial: Float64Array;
  /** Length of the step, s, and the sum of squares of the residual, V²: V8 allocates doubles elsewhere. */
  readonly #stepS = new Float64Array(1);
  readonly #error = new Float64Array(1);

  constructor(system: NodalSystem, equations: SparseEquations) {
    this.#system = system;
    this.#equations = equations;
    this.volts = new Float64Array(system.size);
    this.inductorA = new Float64Array(system.inductorA.length);
    this.#before = new Float64Array(system.size);
    this.#now = new Float64Array(system.size);
    this.#correction = new Float64Array(system.size);
    this.#trial = new Float64Array(system.size);
  }

  /**
   * Without a starting point, by pseudo-transient continuation: the supply is switched on with discharged capacitors,
   * and backward Euler follows with steps that grow threefold from 1 µs until nothing changes. A failed step is
   * repeated at a tenth of its length.
   *
   * @see Kelley & Keyes, "Convergence analysis of pseudo-transient continuation", SIAM J. Numer. Anal. 35 (1998)
   */
  fromNothing(): RestStatus {
    this.volts.fill(0);
    this.inductorA.fill(0);
    let stepS = FIRST_STEP_S;
    let elapsedS = 0;
    let failures = 0;
    for (let count = 0; count < MAX_STEPS && failures < MAX_FAILURES; count++) {
      if (!this.#step(stepS)) {
        stepS /= 10;
        failures++;
        if (stepS < 1e-15) break;
        continue;
      }
      elapsedS += stepS;
      if (stepS >= LAST_STEP_S) {
        if (this.#isRounding()) break;
        return this.#withSupplies();
      }
      stepS *= STEP_GROWTH;
    }
    // An op-amp without enough supply has no operating point; then the message has to name the op-amp.
    return elapsedS >= SETTLING_S && this.starvedOpamp() >= 0 ? 'starved' : 'unsettled';
  }

  /**
   * From the operating point of slightly different numbers, as after a knob was turned: only with the last of those
   * steps.
   *
   * @param volts,inductorA Such as `volts` and `inductorA`. Copied.
   * @returns 'unsettled' also if only `fromNothing` finds it.
   */
  from(volts: Float64Array, inductorA: Float64Array): RestStatus {
    this.volts.set(volts);
    this.inductorA.set(inductorA);
    const steps = inductorA.length > 0 ? INDUCTOR_STEPS : 1;
    for (let count = 0; count < steps; count++) if (!this.#step(LAST_STEP_S)) return 'unsettled';
    return this.#isRounding() ? 'unsettled' : this.#withSupplies();
  }

  /** Index among the structure's op-amps of one with too little supply in the state reached, −1 for none. */
  starvedOpamp(): number {
    const { opamps } = this.#system.structure;
    for (let index = 0; index < opamps.length; index++) {
      if (!(this.supplyV(index) > this.neededV(index))) return index;
    }
    return -1;
  }

  /** Between an op-amp's supply pins in the state reached, V. */
  supplyV(opamp: number): number {
    const { pins } = this.#system.structure.opamps[opamp]!;
    return this.#at(pins[3]!) - this.#at(pins[4]!);
  }

  /** The supply that an op-amp needs, V: below it the two limits of its output cross, and the model is not valid. */
  neededV(opamp: number): number {
    const { offset } = this.#system.structure.opamps[opamp]!;
    const { parameters } = this.#system;
    return Math.max(parameters[offset + HEADROOM_HIGH]! + parameters[offset + HEADROOM_LOW]!, OPAMP_LEAST_V);
  }

  #at(node: number): number {
    return node < 0 ? 0 : this.volts[node]!;
  }

  #isRounding(): boolean {
    return !(maxMagnitude(this.volts) <= MOST_V);
  }

  #withSupplies(): RestStatus {
    return this.starvedOpamp() < 0 ? 'found' : 'starved';
  }

  /** One backward Euler step from the state reached. @returns False where Newton's iteration did not converge. */
  #step(stepS: number): boolean {
    const { inductors } = this.#system.structure;
    this.#stepS[0] = stepS;
    this.#before.set(this.volts);
    for (let index = 0; index < inductors.length; index++) {
      const henries = this.#system.parameters[inductors[index]!.offset]!;
      this.#system.inductorS[index] = Math.min(stepS / henries, INDUCTOR_MAX_S);
      this.#system.inductorA[index] = this.inductorA[index]!;
    }
    if (!this.#iterate()) return false;
    this.volts.set(this.#now);
    for (let index = 0; index < inductors.length; index++) {
      const { a, b } = inductors[index]!;
      this.inductorA[index]! += this.#system.inductorS[index]! * (this.#at(a) - this.#at(b));
    }
    return true;
  }

  /** Newton's iteration of a step. */
  #iterate(): boolean {
    const now = this.#now;
    const correction = this.#correction;
    const n = now.length;
    now.set(this.#before);
    this.#evaluate(now);
    let previous = Number.POSITIVE_INFINITY;
    for (let iteration = 0; iteration < MAX_ITERATIONS; iteration++) {
      if (!this.#correct()) return false;
      const largest = maxMagnitude(correction);
      if (!Number.isFinite(largest)) return false;
      const share = this.#system.limitedShare(now, correction);
      const unit = 1 + maxMagnitude(now);
      // Two small steps in a row, instead of quadratic convergence, are rounding.
      const isRounding = Math.max(largest, previous) < ROUNDING_V * unit;
      // After a whole step Newton's corrections fall faster and faster: the next one would be smaller at least by the same factor.
      const next = Number.isFinite(previous) ? largest * Math.min(1, largest / previous) : largest;
      if (share === 1 && (next < STEP_TOLERANCE_V * unit || isRounding)) {
        for (let row = 0; row < n; row++) now[row]! += correction[row]!;
        return true;
      }
      // The first steps may increase the error: most junctions converge sooner that way.
      this.#advance(share, iteration < FREE_ITERATIONS ? 0 : MOST_HALVINGS);
      previous = share === 1 ? largest : Number.POSITIVE_INFINITY;
    }
    return false;
  }

  /** Solves for Newton's correction at the last evaluated state. */
  #correct(): boolean {
    const equations = this.#equations;
    const n = this.#correction.length;
    for (let row = 0; row < n; row++) equations.b[row] = -this.#system.residual[row]!;
    equations.factorise();
    if (!equations.solve()) return false;
    this.#correction.set(equations.xRe);
    return true;
  }

  /** Applies a fraction of the correction, halved until the equations hold better. */
  #advance(share: number, mostHalvings: number): void {
    const n = this.#now.length;
    const before = this.#error[0]!;
    let taken = share;
    for (let halving = 0; ; halving++) {
      for (let row = 0; row < n; row++) this.#trial[row] = this.#now[row]! + taken * this.#correction[row]!;
      this.#evaluate(this.#trial);
      if (this.#error[0]! < before || halving >= mostHalvings) break;
      taken *= 0.5;
    }
    this.#now.set(this.#trial);
  }

  /** Residual and Jacobian of the step, and the residual's sum of squares with amperes taken at 1 kΩ. */
  #evaluate(volts: Float64Array): void {
    const { residual, currentLaw } = this.#system;
    this.#system.evaluate(volts, 0);
    this.#addCapacitors(volts);
    const error = this.#error;
    error[0] = 0;
    for (let row = 0; row < volts.length; row++) {
      const scaled = residual[row]! * (currentLaw[row] === 1 ? ERROR_OHMS : 1);
      error[0]! += scaled * scaled;
    }
  }

  #addCapacitors(volts: Float64Array): void {
    const { residual, jacobian, capacitance, pattern } = this.#system;
    const { re, im } = this.#equations;
    const n = volts.length;
    re.set(jacobian);
    im.fill(0);
    for (let place = 1; place < capacitance.length; place++) {
      const row = pattern.rows[place]!;
      if (capacitance[place] === 0 || row >= n) continue;
      const column = pattern.columns[place]!;
      const rate = capacitance[place]! / this.#stepS[0]!;
      re[place]! += rate;
      residual[row]! += rate * (volts[column]! - this.#before[column]!);
    }
  }
}

function maxMagnitude(values: Float64Array): number {
  let largest = 0;
  for (let index = 0; index < values.length; index++) largest = Math.max(largest, Math.abs(values[index]!));
  return largest;
}
