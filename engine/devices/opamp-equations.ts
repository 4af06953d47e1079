import type { PortEquations } from './device-model.ts';
import {
  absolute,
  add,
  both,
  choose,
  divide,
  either,
  type Formula,
  greater,
  greaterOrEqual,
  input,
  less,
  maximum,
  minimum,
  multiply,
  negate,
  number,
  parameter,
  positiveSquare,
  saturating,
  squareRoot,
  subtract,
} from './formula.ts';

/** Upward volts at the input for each volt below the common-mode range, in a type that reverses: the change is abrupt. */
export const OPAMP_REVERSAL = 100;
/** Width of the quadratic knee of an op-amp's output limit, V. */
export const OPAMP_KNEE_V = 0.1;
/** With less than this between its supply pins, V, the quiescent current of an op-amp falls in proportion. */
export const OPAMP_STARTING_V = 2;
/** No op-amp of the catalogue works below this, V; the current that it delivers is then taken from the supply only in proportion. */
export const OPAMP_LEAST_V = 1;
/** Excess over an output limit at which the limit cancels the whole slew rate, V. */
export const OPAMP_CLAMP_V = 0.1;
/** Volts that the limits of the output lose for each further 100 % of current beyond the most that it gives. */
export const OPAMP_CURRENT_LIMIT_V = 1000;
/** Width of the quadratic knee of this limit as a share of that current: at its end a supply of 50 V is used up. */
export const OPAMP_CURRENT_KNEE = 0.05;
/** Newton's method limits the input if it moves by more than this and comes from further outside its range, V. */
export const LEAST_LIMITED_V = 1e-3;

/** A number of an op-amp that the solver sets: the conductance of what its output drives, S. */
export const LOAD_SIEMENS = 'loadS';

export const OPAMP_PARAMETERS = [
  'gainBandwidthRadPerS',
  'slewVPerS',
  'openLoopGain',
  'headroomHighV',
  'headroomLowV',
  'inputBiasA',
  'quiescentA',
  'commonHighV',
  'commonLowV',
  'commonReversal',
  'saturationOhms',
  'sourceLimitA',
  'sinkLimitA',
  LOAD_SIEMENS,
] as const;

const w = parameter('gainBandwidthRadPerS');
const slew = parameter('slewVPerS');
const quiescentA = parameter('quiescentA');
const leak = divide(w, parameter('openLoopGain'));
const clamp = divide(slew, number(OPAMP_CLAMP_V));
/** Leading coefficient of the implicit step, 1/s. */
const a = add(parameter('stepRate'), leak);

/**
 * Where the output limits, V: high and low. A supply that is too small for both headrooms leaves it no range: both are in the
 * middle then. @param positive,negative Supply pins, V. @param sourcedA Current out of it, A; absent where the load does not count.
 */
export function outputLimits(
  positive: Formula,
  negative: Formula,
  sourcedA?: Formula,
): readonly [high: Formula, low: Formula] {
  return limitsUnder(positive, negative, sourcedA, sourcedA && currentLimits(sourcedA));
}

/** The same. @param lost What the limits of the current take from either. */
function limitsUnder(
  positive: Formula,
  negative: Formula,
  sourcedA: Formula | undefined,
  lost: readonly [above: Formula, below: Formula] | undefined,
): readonly [high: Formula, low: Formula] {
  const bareHigh = subtract(positive, parameter('headroomHighV'));
  const bareLow = add(negative, parameter('headroomLowV'));
  const drop = sourcedA ? multiply(sourcedA, parameter('saturationOhms')) : number(0);
  const [above, below] = lost ?? [number(0), number(0)];
  const high = subtract(subtract(bareHigh, drop), above);
  const low = add(subtract(bareLow, drop), below);
  const lacking = multiply(maximum(subtract(low, high), number(0)), number(0.5));
  return [add(high, lacking), subtract(low, lacking)];
}

/** Zero, then a quadratic knee, then slope one. @param width Of the knee. */
function ramp(excess: Formula, width: number): Formula {
  const past = subtract(excess, number(width));
  return divide(subtract(positiveSquare(excess), positiveSquare(past)), number(2 * width));
}

/** q(e), V. */
const knee = (excess: Formula): Formula => ramp(excess, OPAMP_KNEE_V);

/** E·p(i/I_source − 1) and E·p(−i/I_sink − 1), V. Few loads bring it that far. */
function currentLimits(sourcedA: Formula): readonly [above: Formula, below: Formula] {
  const [most, least] = [parameter('sourceLimitA'), negate(parameter('sinkLimitA'))];
  const loss = (mostA: Formula) => {
    const excess = subtract(divide(sourcedA, mostA), number(1));
    return multiply(ramp(excess, OPAMP_CURRENT_KNEE), number(OPAMP_CURRENT_LIMIT_V));
  };
  return [loss(most), loss(least)];
}

/** Its rate far from the limits, V/s. @param vd Differential input, V. */
export const slewed = (vd: Formula): Formula => multiply(saturating(multiply(vd, divide(w, slew))), slew);

/** mid, V. @param high,low Where the output limits without a load, V. */
const middleOf = (high: Formula, low: Formula): Formula => multiply(add(high, low), number(0.5));

/** dx/dt, V/s. @param vd Differential input, V. @param x Output, V. @param high,low Where it limits, V. @param middle mid, V. */
export function opampRate(
  vd: Formula,
  x: Formula,
  high: Formula,
  low: Formula,
  middle = middleOf(high, low),
): Formula {
  const fromMiddle = subtract(x, middle);
  const limit = subtract(knee(subtract(x, high)), knee(subtract(low, x)));
  return subtract(subtract(slewed(vd), multiply(fromMiddle, leak)), multiply(limit, clamp));
}

/** c(v+) − v+: what an input range adds to the differential input. @param positive,negative Supply pins, V. */
function commonModeShift(plus: Formula, positive: Formula, negative: Formula): Formula {
  const above = knee(add(subtract(plus, positive), parameter('commonHighV')));
  const below = knee(subtract(add(negative, parameter('commonLowV')), plus));
  return subtract(multiply(below, parameter('commonReversal')), above);
}

/** The same of inputs that are called like the pins: where all of them are known before the op-amp is solved. */
export const COMMON_MODE_SHIFT = commonModeShift(input('plus'), input('positive'), input('negative'));

/**
 * Output after one implicit step, in closed form: solves
 *
 *   a·x = history + S·s(w·vd/S) + (w/A0)·mid − (S/0.1 V)·(q(x − high) − q(low − x)),   a = stepRate + w/A0
 *
 * which is monotone in x and quadratic at most inside a knee.
 *
 * @param history The step's memory, V/s. @param middle mid, V.
 */
export function opampStep(
  vd: Formula,
  history: Formula,
  high: Formula,
  low: Formula,
  middle = middleOf(high, low),
): Formula {
  const drive = add(history, add(slewed(vd), multiply(middle, leak)));
  const free = divide(drive, a);
  const above = add(high, kneeExcess(subtract(drive, multiply(high, a))));
  const below = subtract(low, kneeExcess(subtract(multiply(low, a), drive)));
  const isAbove = greater(free, high);
  const limited = choose(isAbove, above, below, 'neither');
  return choose(either(isAbove, less(free, low)), limited, free, 'otherwise');
}

/** The e ≥ 0 that solves a·e + clamp·q(e) = push. */
function kneeExcess(push: Formula): Formula {
  const pushAtKneeEnd = multiply(add(a, multiply(clamp, number(0.5))), number(OPAMP_KNEE_V));
  const past = divide(add(push, multiply(clamp, number(0.5 * OPAMP_KNEE_V))), add(a, clamp));
  const curvature = multiply(clamp, number(2 / OPAMP_KNEE_V));
  const root = squareRoot(add(multiply(push, curvature), multiply(a, a)));
  const within = divide(multiply(push, number(2)), add(root, a));
  return choose(greaterOrEqual(push, pushAtKneeEnd), past, within, 'neither');
}

/**
 * Range of inputs in which an op-amp's implicit step is nearly linear: neither slewing (|w·vd/S| ≤ 1) nor
 * with its output at a limit; lower > upper where there is no such range.
 */
export function opampActiveRange(
  history: Formula,
  high: Formula,
  low: Formula,
  middle = middleOf(high, low),
): { readonly lower: Formula; readonly upper: Formula } {
  const given = add(history, multiply(middle, leak));
  const argument = (limit: Formula) => divide(subtract(multiply(limit, a), given), slew);
  // Inverse of s; s(1) = 1/√2, above which the amplifier slews.
  const end = (s: Formula) => {
    const root = squareRoot(subtract(number(1), minimum(multiply(s, s), number(0.5))));
    return divide(multiply(s, divide(slew, w)), root);
  };
  return {
    lower: end(maximum(argument(low), number(-Math.SQRT1_2))),
    upper: end(minimum(argument(high), number(Math.SQRT1_2))),
  };
}

/**
 * A step of Newton's method that ends where it enters the active range; otherwise it could jump from limit to
 * limit for ever. Applied only from well outside the range, so that a shortened step is never mistaken for the
 * last one.
 */
export function opampLimitedStep(
  vd: Formula,
  step: Formula,
  history: Formula,
  high: Formula,
  low: Formula,
  middle = middleOf(high, low),
): Formula {
  const { lower, upper } = opampActiveRange(history, high, low, middle);
  const after = add(vd, step);
  const margin = number(LEAST_LIMITED_V);
  const comesDown = both(greater(vd, add(upper, margin)), less(after, upper));
  const comesUp = both(less(vd, subtract(lower, margin)), greater(after, lower));
  const up = choose(comesUp, subtract(lower, vd), step, 'neither');
  const cut = choose(comesDown, subtract(upper, vd), up, 'neither');
  const within = choose(greaterOrEqual(upper, lower), cut, step, 'neither');
  return choose(greater(absolute(step), margin), within, step, 'otherwise');
}

/** Quiescent current at a voltage between the supply pins, A. */
export function quiescentCurrent(between: Formula): Formula {
  const starting = multiply(maximum(between, number(0)), divide(quiescentA, number(OPAMP_STARTING_V)));
  return choose(less(between, number(OPAMP_STARTING_V)), starting, quiescentA, 'otherwise');
}

/**
 * Current that an op-amp takes from its positive supply pin and returns to the negative one, A. A collapsed
 * supply gives nothing more; otherwise it would be drawn below ground and run away.
 *
 * @param sourced Current out of the output, A. @param between Volts between the supply pins.
 */
export function supplyCurrents(
  sourced: Formula,
  between: Formula,
): { readonly draw: Formula; readonly back: Formula } {
  const whole = multiply(sourced, number(0.5));
  const share = minimum(multiply(maximum(between, number(0)), number(1 / OPAMP_LEAST_V)), number(1));
  const half = choose(less(between, number(OPAMP_STARTING_V)), multiply(whole, share), whole, 'otherwise');
  const quiescent = quiescentCurrent(between);
  // Half of |i| + i is i where it is positive, else 0.
  return {
    draw: add(quiescent, add(absolute(half), half)),
    back: add(quiescent, subtract(absolute(half), half)),
  };
}

/** Pins of an op-amp, beside its differential input, whose voltages may be solved together with it. */
export const OPAMP_PINS = ['plus', 'positive', 'negative'] as const;
export type OpampPin = (typeof OPAMP_PINS)[number];
/** Further ports that its step may read: these pins, and the current out of its output times `SOURCED_OHMS`. */
export const OPAMP_READINGS = [...OPAMP_PINS, 'load'] as const;
export type OpampReading = (typeof OPAMP_READINGS)[number];

/**
 * An op-amp's implicit step where voltages that decide its limits, or what its output is loaded with, are solved together
 * with it: behind its differential input each of these is a port of its own, into which nothing flows. Its other pins are
 * inputs of its formulas.
 *
 * @param readings Those that are solved with it. @param isRanged Whether the range of its inputs is part of the step.
 */
export function pinnedOpamp(readings: readonly OpampReading[], isRanged: boolean): PortEquations {
  const portOf = (v: readonly Formula[], reading: OpampReading) => v[1 + readings.indexOf(reading)]!;
  const at = (v: readonly Formula[], pin: OpampPin) => (readings.includes(pin) ? portOf(v, pin) : input(pin));
  const isLoaded = readings.includes('load');
  const sourcedA = (v: readonly Formula[]) =>
    isLoaded ? multiply(portOf(v, 'load'), number(1 / SOURCED_OHMS)) : undefined;
  const supplies = (v: readonly Formula[]) => [at(v, 'positive'), at(v, 'negative')] as const;
  const limits = (v: readonly Formula[]) => {
    const middle = middleOf(...outputLimits(...supplies(v)));
    return [...outputLimits(...supplies(v), sourcedA(v)), middle] as const;
  };
  const step = (v: readonly Formula[]) => {
    const [vd, history] = [differential(v), input('history')];
    const amps = sourcedA(v);
    const whole = opampStep(vd, history, ...limits(v));
    if (!amps) return whole;
    // Few loads reach a limit of the current, so that it is computed only beyond one.
    const middle = middleOf(...outputLimits(...supplies(v)));
    const usual = opampStep(vd, history, ...limitsUnder(...supplies(v), amps, undefined), middle);
    const isOver = greater(absolute(amps), minimum(parameter('sourceLimitA'), parameter('sinkLimitA')));
    return choose(isOver, whole, usual, 'otherwise');
  };
  const differential = (v: readonly Formula[]) =>
    isRanged ? add(v[0]!, commonModeShift(at(v, 'plus'), at(v, 'positive'), at(v, 'negative'))) : v[0]!;
  return {
    currents: (v) => [step(v), ...readings.map(() => number(0))],
    limitedSteps: (v, steps) => [
      opampLimitedStep(differential(v), steps[0]!, input('history'), ...limits(v)),
      ...readings.map((_, port) => steps[1 + port]!),
    ],
    others: [COMMON_MODE_SHIFT],
    junctions: [],
    hasEdges: false,
  };
}

/** A step of Newton's method that ends at zero where it would cross it: from kink to kink it would jump for ever. */
function stepToZero(v: Formula, step: Formula): Formula {
  const isCrossing = less(multiply(v, add(v, step)), number(0));
  const isFar = greater(minimum(absolute(v), absolute(step)), number(LEAST_LIMITED_V));
  return choose(both(isCrossing, isFar), negate(v), step, 'neither');
}

/** What the current out of an op-amp's output is multiplied by to be the voltage of a port, Ω: 1 mA is 1 V. */
export const SOURCED_OHMS = 1e3;

/**
 * What an op-amp takes from its positive supply pin and returns to the negative one, where these are solved together with
 * what it drives: two ports, whose voltages are the current out of its output times `SOURCED_OHMS` and what is between the
 * pins, and whose currents leave the positive pin and enter the negative one.
 */
export const OPAMP_SUPPLY: PortEquations = {
  currents: ([sourced, between]) => {
    const { draw, back } = supplyCurrents(multiply(sourced!, number(1 / SOURCED_OHMS)), between!);
    return [draw, back];
  },
  limitedSteps: ([sourced, between], [toSourced, toBetween]) => [
    stepToZero(sourced!, toSourced!),
    stepToZero(between!, toBetween!),
  ],
  junctions: [],
  hasEdges: false,
};

/**
 * The op-amp's own equation over its five pins, −dx/dt divided by the gain-bandwidth, V.
 *
 * @param sourcedA Current out of its output, A; absent where the load does not count.
 */
export function pinEquation(
  isRanged: boolean,
  [plus, minus, out, positive, negative]: readonly [Formula, Formula, Formula, Formula, Formula],
  sourcedA?: Formula,
): Formula {
  const middle = middleOf(...outputLimits(positive, negative));
  const shift = isRanged ? commonModeShift(plus, positive, negative) : number(0);
  const vd = add(subtract(plus, minus), shift);
  return negate(divide(opampRate(vd, out, ...outputLimits(positive, negative, sourcedA), middle), w));
}
