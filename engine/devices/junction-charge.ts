import {
  add,
  choose,
  divide,
  type Formula,
  less,
  multiply,
  number,
  squareRoot,
  subtract,
  withSlope,
} from './formula.ts';

/**
 * What a junction holds beside a constant capacitance C_0: charge of an abrupt depletion layer, which follows the voltage, and
 * of the carriers under way through it, which follows the current.
 *
 *   q(v) = q_D(v) − C_0·v + T·i(v)
 *   dq_D/dv = C_0/√(1 − v/V_J)                       v ≤ V_J/2
 *           = C_0·√2·(1/2 + v/V_J)                   above: its tangent, since the law has a pole at V_J
 *
 * Real junctions are between abrupt and graded, with exponents from 1/2 to 1/3.
 *
 * @see L. W. Nagel, UCB/ERL M520 (1975), junction charge with M = 0.5 and FC = 0.5
 */
export interface JunctionCharge {
  /** V_J, V. */
  readonly builtInV: number;
  /** T, s. */
  readonly transitSeconds: number;
}

/** Share of V_J up to which the law holds; above it the capacitance is a straight line. */
const LAW_SHARE = 0.5;

/**
 * q_D(v) − C_0·v times a fixed factor, and as its slope what C is above C_0.
 *
 * @param farads C_0. @param scale The factor: 1, or the leading coefficient of an implicit step.
 */
export function depletionCharge(v: Formula, farads: Formula, builtInV: Formula, scale: Formula): Formula {
  const zeroBias = multiply(farads, scale);
  // With r = √(1 − v/V_J), q_D − C_0·v = C_0·V_J·(1 − r)².
  const root = squareRoot(subtract(number(1), divide(v, builtInV)));
  const fallen = subtract(number(1), root);
  const whole = multiply(zeroBias, builtInV);
  const endV = multiply(builtInV, number(LAW_SHARE));
  const excess = subtract(v, endV);
  const risen = multiply(excess, divide(multiply(zeroBias, number(Math.SQRT2)), builtInV));
  const atEnd = multiply(zeroBias, number(Math.SQRT2 - 1));
  const endCharge = multiply(whole, number((1 - Math.SQRT1_2) ** 2));
  const beyond = add(multiply(excess, add(multiply(risen, number(0.5)), atEnd)), endCharge);
  const isWithin = less(v, endV);
  // Nearly always, or a branch would compute both.
  const choice = (within: Formula, above: Formula) => choose(isWithin, within, above, 'then');
  const charge = choice(multiply(multiply(fallen, fallen), whole), beyond);
  const capacitance = choice(divide(multiply(fallen, zeroBias), root), add(risen, atEnd));
  return withSlope(charge, v, capacitance);
}
