import type { NodeName } from '../devices/node.ts';
import { OPAMP_LEAST_V } from '../devices/opamp.ts';
import { Refusal } from '../input/refusal.ts';
import type { Network } from '../network/network.ts';
import { factorise, solveFactorised } from './dense-linear.ts';
import { NodalSystem } from './nodal-system.ts';

/** Rest state of a network with the input at 0 V. */
export interface OperatingPoint {
  /** Voltage of each node against ground, V. */
  readonly volts: ReadonlyMap<NodeName, number>;
  /** Current through each inductor from its first to its second node, A, by reference designator. */
  readonly inductorA: ReadonlyMap<string, number>;
}

/** No rest state was found, or none in which every op-amp is supplied; the message names net or op-amp. */
export class OperatingPointError extends Refusal {
  constructor(code: 'rest-state' | 'starved', message: string) {
    super(code, message);
    this.name = 'OperatingPointError';
  }
}

const FIRST_STEP_S = 1e-6;
const STEP_GROWTH = 3;
const LAST_STEP_S = 1e10;
/**
 * An inductor takes no longer a step than that at which it conducts so much, S. Its current is a sum of conductance
 * times voltage: beyond this the rounding of the voltage would show, and 1 Ω has a thousandth of its error left
 * after each step as it is.
 */
const INDUCTOR_MAX_S = 1e3;
const MAX_STEPS = 200;
/** Steps that failed before it is given up. */
const MAX_FAILURES = 40;
const MAX_ITERATIONS = 150;
const STEP_TOLERANCE_V = 1e-12;
/** A net of picosiemens is known no better than this, V. */
const ROUNDING_V = 1e-9;
/** Newton's iterations that take their whole step; after them it is halved until the equations hold better. */
const FREE_ITERATIONS = 20;
const MOST_HALVINGS = 10;
const ERROR_OHMS = 1e3;
/** By then a supply of usual parts has come up, s. */
const SETTLING_S = 1;
/** A rest state farther than this from ground is rounding: a net that floats behind cut-off transistors, V. */
const MOST_V = 1e4;

/**
 * Rest state by pseudo-transient continuation: the supply is switched on over discharged capacitors, and
 * backward Euler follows with steps that grow threefold from 1 µs until nothing moves. A step that fails
 * is tried again at a tenth of its length.
 *
 * @param near Rest state of the network with slightly other values: where the equations of rest can be solved from
 * there at once, as after the turn of a knob, that takes a tenth of the time.
 * @throws OperatingPointError if no rest state is reached.
 * @see Kelley & Keyes, "Convergence analysis of pseudo-transient continuation", SIAM J. Numer. Anal. 35 (1998)
 */
export function operatingPoint(network: Network, near?: OperatingPoint): OperatingPoint {
  const system = new NodalSystem(network);
  const found = near && restNear(system, near);
  if (found) return checkedSupplies(network, toOperatingPoint(system, found, new Float64Array(0)));
  let volts: Float64Array = new Float64Array(system.size);
  let currents: Float64Array = new Float64Array(system.inductors.length);
  let step = FIRST_STEP_S;
  let elapsedS = 0;
  let failures = 0;
  for (let count = 0; count < MAX_STEPS && failures < MAX_FAILURES; count++) {
    const next = implicitStep(system, volts, currents, step);
    if (next === undefined) {
      step /= 10;
      failures++;
      if (step < 1e-15) break;
      continue;
    }
    volts = next.volts;
    currents = next.currents;
    elapsedS += step;
    if (step >= LAST_STEP_S && maxMagnitude(volts) > MOST_V) break;
    if (step >= LAST_STEP_S) return checkedSupplies(network, toOperatingPoint(system, volts, currents));
    step *= STEP_GROWTH;
  }
  // Where an op-amp starves, its model has no rest; what has to be named then is the op-amp.
  if (elapsedS >= SETTLING_S) checkedSupplies(network, toOperatingPoint(system, volts, currents));
  throw new OperatingPointError(
    'rest-state',
    `The circuit finds no rest state: its voltages do not settle, net ${widestNet(system, volts)} least of all. Take back the last change.`,
  );
}

/** The last of those steps, from another rest state; undefined where it fails. Inductors want more than one step. */
function restNear(system: NodalSystem, { volts }: OperatingPoint): Float64Array | undefined {
  if (system.inductors.length > 0) return undefined;
  const start = Float64Array.from(system.nodeNames, (name) => volts.get(name) ?? 0);
  const found = implicitStep(system, start, new Float64Array(0), LAST_STEP_S)?.volts;
  return found && maxMagnitude(found) <= MOST_V ? found : undefined;
}

/** The net that is furthest from ground: where a circuit runs away, it shows there. */
function widestNet(system: NodalSystem, volts: Float64Array): NodeName {
  let widest = 0;
  for (let node = 1; node < volts.length; node++) {
    if (Math.abs(volts[node]!) > Math.abs(volts[widest]!)) widest = node;
  }
  return system.nodeNames[widest] ?? '';
}

/**
 * The rest state, where every op-amp has a supply to work on: the model of its output means nothing where the
 * limits have crossed. @throws OperatingPointError naming the op-amp and its volts.
 */
function checkedSupplies(network: Network, rest: OperatingPoint): OperatingPoint {
  for (const primitive of network.primitives) {
    if (primitive.kind !== 'opamp') continue;
    const [positive = 0, negative = 0] = primitive.nodes.slice(3).map((node) => rest.volts.get(node) ?? 0);
    const { headroomHighV, headroomLowV } = primitive.data;
    const neededV = Math.max(headroomHighV + headroomLowV, OPAMP_LEAST_V);
    if (positive - negative > neededV) continue;
    const got = positive > negative ? `${(positive - negative).toFixed(1)} V stand` : 'nothing stands';
    throw new OperatingPointError(
      'starved',
      `${primitive.ref} is starved: ${got} between its supply pins, and it needs ${neededV.toFixed(1)} V. Give the supply less resistance or more volts.`,
    );
  }
  return rest;
}

/** One backward Euler step, or undefined where Newton's iteration did not converge. */
function implicitStep(
  system: NodalSystem,
  before: Float64Array,
  currentsBefore: Float64Array,
  stepS: number,
): { volts: Float64Array; currents: Float64Array } | undefined {
  const n = system.size;
  const volts = Float64Array.from(before);
  const trial = new Float64Array(n);
  const correction = new Float64Array(n);
  const pivots = new Int32Array(n);
  system.inductorA.set(currentsBefore);
  system.inductors.forEach(({ henries }, index) => {
    system.inductorS[index] = inductorSiemens(stepS, henries);
  });
  let error = evaluateStep(system, volts, before, stepS);
  let previous = Number.POSITIVE_INFINITY;
  for (let iteration = 0; iteration < MAX_ITERATIONS; iteration++) {
    for (let row = 0; row < n; row++) correction[row] = -system.residual[row]!;
    if (factorise(system.jacobian, n, pivots) >= 0) return undefined;
    solveFactorised(system.jacobian, n, pivots, correction, 1);
    const largest = maxMagnitude(correction);
    if (!Number.isFinite(largest)) return undefined;
    let share = system.limitedShare(volts, correction);
    const unit = 1 + maxMagnitude(volts);
    // Two small ones in a row, where it should have fallen to its square, are what rounding leaves.
    const isRounding = Math.max(largest, previous) < ROUNDING_V * unit;
    if (share === 1 && (largest < STEP_TOLERANCE_V * unit || isRounding)) {
      for (let row = 0; row < n; row++) volts[row]! += correction[row]!;
      return { volts, currents: currentsAfter(system, volts, currentsBefore, stepS) };
    }
    for (let halving = 0; ; halving++) {
      for (let row = 0; row < n; row++) trial[row] = volts[row]! + share * correction[row]!;
      const reached = evaluateStep(system, trial, before, stepS);
      // The first steps may go uphill: most junctions get there sooner so.
      if (iteration < FREE_ITERATIONS || reached < error || halving === MOST_HALVINGS) {
        error = reached;
        break;
      }
      share *= 0.5;
    }
    volts.set(trial);
    previous = largest;
  }
  return undefined;
}

/** Fills residual and Jacobian of the step; returns the residual's sum of squares with amperes taken at 1 kΩ, V². */
function evaluateStep(system: NodalSystem, volts: Float64Array, before: Float64Array, stepS: number): number {
  system.evaluate(volts, 0);
  addCapacitors(system, volts, before, stepS);
  let sum = 0;
  for (let row = 0; row < system.size; row++) {
    const scaled = system.residual[row]! * (system.currentLaw[row] === 1 ? ERROR_OHMS : 1);
    sum += scaled * scaled;
  }
  return sum;
}

function addCapacitors(system: NodalSystem, volts: Float64Array, before: Float64Array, stepS: number): void {
  const n = system.size;
  for (let row = 0; row < n; row++) {
    for (let column = 0; column < n; column++) {
      const rate = system.capacitance[row * n + column]! / stepS;
      if (rate === 0) continue;
      system.jacobian[row * n + column]! += rate;
      system.residual[row]! += rate * (volts[column]! - before[column]!);
    }
  }
}

function inductorSiemens(stepS: number, henries: number): number {
  return Math.min(stepS / henries, INDUCTOR_MAX_S);
}

function currentsAfter(
  system: NodalSystem,
  volts: Float64Array,
  before: Float64Array,
  stepS: number,
): Float64Array {
  return Float64Array.from(
    system.inductors.map(
      ({ a, b, henries }, index) =>
        before[index]! + inductorSiemens(stepS, henries) * ((volts[a] ?? 0) - (volts[b] ?? 0)),
    ),
  );
}

function toOperatingPoint(system: NodalSystem, volts: Float64Array, currents: Float64Array): OperatingPoint {
  return {
    volts: new Map(system.nodeNames.map((name, index) => [name, volts[index]!])),
    inductorA: new Map(system.inductors.map(({ ref }, index) => [ref, currents[index]!])),
  };
}

function maxMagnitude(values: Float64Array): number {
  let largest = 0;
  for (const value of values) largest = Math.max(largest, Math.abs(value));
  return largest;
}
