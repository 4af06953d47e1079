import { OPAMP_CLAMP_V, OPAMP_KNEE_V } from '../network/network.ts';
import { BJT, FET, OPAMP } from './parameters.ts';

/**
 * The device equations of network.ts with their derivatives. All functions are real-time safe: they
 * write to `out`, never allocate and never throw.
 */

/** Above this argument the exponential goes on as its tangent, so that no Newton trial overflows. */
const EXP_LIMIT = 60;
const EXP_AT_LIMIT = Math.exp(EXP_LIMIT);

/**
 * Current and conductance of a junction: i = I_S·(exp(v/nV_T) − 1) + G·v.
 *
 * @param leakS G: JUNCTION_MIN_S for a diode, 0 in a transistor.
 * @param voltage Junction voltage, V.
 * @param out Output, from `at`: [i in A, di/dv in S].
 * @see W. Shockley, Bell System Technical Journal 28 (1949), 435
 */
export function junction(
  saturationA: number,
  emissionV: number,
  leakS: number,
  voltage: number,
  out: Float64Array,
  at: number,
): void {
  const argument = voltage / emissionV;
  let exponential: number;
  let slope: number;
  if (argument < EXP_LIMIT) {
    exponential = Math.exp(argument);
    slope = exponential;
  } else {
    exponential = EXP_AT_LIMIT * (1 + argument - EXP_LIMIT);
    slope = EXP_AT_LIMIT;
  }
  out[at] = saturationA * (exponential - 1) + leakS * voltage;
  out[at + 1] = (saturationA * slope) / emissionV + leakS;
}

/** Scratch of the two junctions of a transistor; the audio thread has one thread, so one is enough. */
const junctions = new Float64Array(4);

/**
 * Transistor as two coupled ports, base to emitter and base to collector, polarity +1 for NPN:
 *
 *   i_BE = i_F/β_F + i_CT     i_BC = i_R/β_R − i_CT     i_CT = (i_F − i_R)·(1 − v_BC/V_A)
 *
 * @param out Output, from `at`: [i_BE, i_BC, ∂i_BE/∂v_BE, ∂i_BE/∂v_BC, ∂i_BC/∂v_BE, ∂i_BC/∂v_BC].
 */
export function bipolar(
  parameters: Float64Array,
  offset: number,
  polarity: number,
  vBE: number,
  vBC: number,
  out: Float64Array,
  at: number,
): void {
  const saturationA = parameters[offset + BJT.saturationA]!;
  const thermalV = parameters[offset + BJT.thermalV]!;
  const inverseForward = 1 / parameters[offset + BJT.forwardBeta]!;
  const inverseReverse = 1 / parameters[offset + BJT.reverseBeta]!;
  const inverseEarly = 1 / parameters[offset + BJT.earlyV]!;
  junction(saturationA, thermalV, 0, polarity * vBE, junctions, 0);
  junction(saturationA, thermalV, 0, polarity * vBC, junctions, 2);
  const forward = junctions[0]!;
  const forwardSlope = junctions[1]!;
  const reverse = junctions[2]!;
  const reverseSlope = junctions[3]!;
  const early = 1 - polarity * vBC * inverseEarly;
  const transport = (forward - reverse) * early;
  const transportByBE = forwardSlope * early;
  const transportByBC = -reverseSlope * early - (forward - reverse) * inverseEarly;
  out[at] = polarity * (forward * inverseForward + transport);
  out[at + 1] = polarity * (reverse * inverseReverse - transport);
  out[at + 2] = forwardSlope * inverseForward + transportByBE;
  out[at + 3] = transportByBC;
  out[at + 4] = -transportByBE;
  out[at + 5] = reverseSlope * inverseReverse - transportByBC;
}

/**
 * N-channel field-effect transistor as two coupled ports, gate to source and drain to source.
 * The gate junctions' currents are folded in: that of gate to drain flows on from drain to source reversed.
 *
 * @param out Output, from `at`: [i_GS, i_DS, ∂i_GS/∂v_GS, ∂i_GS/∂v_DS, ∂i_DS/∂v_GS, ∂i_DS/∂v_DS].
 * @see H. Shichman, D. A. Hodges, IEEE J. Solid-State Circuits SC-3 (1968), 285
 */
export function fieldEffect(
  parameters: Float64Array,
  offset: number,
  vGS: number,
  vDS: number,
  out: Float64Array,
  at: number,
): void {
  channel(parameters, offset, vGS, vDS, out, at);
  const gateSaturationA = parameters[offset + FET.gateSaturationA]!;
  if (gateSaturationA === 0) {
    out[at] = 0;
    out[at + 2] = 0;
    out[at + 3] = 0;
    return;
  }
  const thermalV = parameters[offset + FET.thermalV]!;
  junction(gateSaturationA, thermalV, 0, vGS, junctions, 0);
  junction(gateSaturationA, thermalV, 0, vGS - vDS, junctions, 2);
  const toDrain = junctions[2]!;
  const toDrainSlope = junctions[3]!;
  out[at] = junctions[0]! + toDrain;
  out[at + 2] = junctions[1]! + toDrainSlope;
  out[at + 3] = -toDrainSlope;
  out[at + 1]! -= toDrain;
  out[at + 4]! -= toDrainSlope;
  out[at + 5]! += toDrainSlope;
}

/**
 * Channel current and its derivatives into out[at+1], [at+4], [at+5]; below 0 V drain and source change roles.
 * With d the gate drive and s = min(|v_DS|, d) both regions are β·(1 + λ·|v_DS|)·s·(2d − s).
 */
function channel(
  parameters: Float64Array,
  offset: number,
  vGS: number,
  vDS: number,
  out: Float64Array,
  at: number,
): void {
  const beta = parameters[offset + FET.betaAPerV2]!;
  const lambda = parameters[offset + FET.lambdaPerV]!;
  const reversed = vDS < 0;
  const span = reversed ? -vDS : vDS;
  const drive = Math.max((reversed ? vGS - vDS : vGS) - parameters[offset + FET.thresholdV]!, 0);
  const held = Math.min(span, drive);
  const shape = held * (2 * drive - held);
  const lengthening = beta * (1 + lambda * span);
  const byGate = 2 * lengthening * held;
  const bySpan = beta * lambda * shape + 2 * lengthening * (drive - held);
  out[at + 1] = reversed ? -lengthening * shape : lengthening * shape;
  out[at + 4] = reversed ? -byGate : byGate;
  out[at + 5] = reversed ? byGate + bySpan : bySpan;
}

/**
 * Rate of change of an op-amp's output and its derivatives.
 *
 * @param vd Differential input, V. @param x Output, V. @param high,low Where its output limits, V.
 * @param out Output, from `at`: [dx/dt in V/s, ∂/∂vd, ∂/∂x, ∂/∂high, ∂/∂low, each in 1/s].
 */
export function opampRate(
  parameters: Float64Array,
  offset: number,
  vd: number,
  x: number,
  high: number,
  low: number,
  out: Float64Array,
  at: number,
): void {
  const w = parameters[offset + OPAMP.gainBandwidthRadPerS]!;
  const slew = parameters[offset + OPAMP.slewVPerS]!;
  const leak = w / parameters[offset + OPAMP.openLoopGain]!;
  const clamp = slew / OPAMP_CLAMP_V;
  const u = (w * vd) / slew;
  const root = Math.sqrt(1 + u * u);
  const above = x - high;
  const below = low - x;
  const aboveSlope = clamp * kneeSlope(above);
  const belowSlope = clamp * kneeSlope(below);
  const middle = 0.5 * (high + low);
  out[at] = (slew * u) / root - leak * (x - middle) - clamp * (knee(above) - knee(below));
  out[at + 1] = w / (root * root * root);
  out[at + 2] = -leak - aboveSlope - belowSlope;
  out[at + 3] = 0.5 * leak + aboveSlope;
  out[at + 4] = 0.5 * leak + belowSlope;
}

/**
 * What an op-amp's input range adds to its differential input: c(v+) − v+ of network.ts.
 *
 * @param plus Non-inverting input, V. @param positive,negative Supply pins, V.
 * @param out Output, from `at`: [shift in V, ∂/∂plus, ∂/∂positive, ∂/∂negative].
 */
export function commonModeShift(
  parameters: Float64Array,
  offset: number,
  plus: number,
  positive: number,
  negative: number,
  out: Float64Array,
  at: number,
): void {
  const turn = parameters[offset + OPAMP.commonReversal]!;
  const above = plus - positive + parameters[offset + OPAMP.commonHighV]!;
  const below = negative + parameters[offset + OPAMP.commonLowV]! - plus;
  const aboveSlope = kneeSlope(above);
  const belowSlope = turn * kneeSlope(below);
  out[at] = turn * knee(below) - knee(above);
  out[at + 1] = -aboveSlope - belowSlope;
  out[at + 2] = aboveSlope;
  out[at + 3] = belowSlope;
}

/** Quadratic knee then slope one: q(e) of network.ts, V. */
function knee(excess: number): number {
  if (excess <= 0) return 0;
  if (excess <= OPAMP_KNEE_V) return (excess * excess) / (2 * OPAMP_KNEE_V);
  return excess - 0.5 * OPAMP_KNEE_V;
}

function kneeSlope(excess: number): number {
  if (excess <= 0) return 0;
  return excess <= OPAMP_KNEE_V ? excess / OPAMP_KNEE_V : 1;
}

/**
 * Output of an op-amp after one implicit step, in closed form: solves
 *
 *   a·x = history + S·s(w·vd/S) + (w/A0)·mid − (S/0.1 V)·(q(x − high) − q(low − x)),   a = rate + w/A0
 *
 * which is monotone in x and quadratic at most inside a knee.
 *
 * @param rate Leading coefficient of the step, 1/s (11/(6T)). @param history Its memory, V/s.
 * @param out Output, from `at`: [x in V, ∂x/∂vd].
 */
export function opampStep(
  parameters: Float64Array,
  offset: number,
  vd: number,
  rate: number,
  history: number,
  high: number,
  low: number,
  out: Float64Array,
  at: number,
): void {
  const w = parameters[offset + OPAMP.gainBandwidthRadPerS]!;
  const slew = parameters[offset + OPAMP.slewVPerS]!;
  const leak = w / parameters[offset + OPAMP.openLoopGain]!;
  const clamp = slew / OPAMP_CLAMP_V;
  const u = (w * vd) / slew;
  const inverseRoot = 1 / Math.sqrt(1 + u * u);
  const drive = history + slew * u * inverseRoot + leak * 0.5 * (high + low);
  const byDrive = w * inverseRoot * inverseRoot * inverseRoot;
  const a = rate + leak;
  let x = drive / a;
  let slope = a;
  if (x > high) {
    const excess = kneeExcess(drive - a * high, a, clamp);
    x = high + excess;
    slope = a + clamp * kneeSlope(excess);
  } else if (x < low) {
    const excess = kneeExcess(a * low - drive, a, clamp);
    x = low - excess;
    slope = a + clamp * kneeSlope(excess);
  }
  out[at] = x;
  out[at + 1] = byDrive / slope;
}

/**
 * Inputs between which an op-amp's implicit step answers nearly in proportion: neither slewing (|w·vd/S| ≤ 1) nor
 * with its output at a limit. Newton must not step across this range, or it jumps from limit to limit for ever.
 *
 * @param out Output, from `at`: [lower, upper end in V]; lower > upper where there is no such range.
 */
export function opampActiveRange(
  parameters: Float64Array,
  offset: number,
  rate: number,
  history: number,
  high: number,
  low: number,
  out: Float64Array,
  at: number,
): void {
  const w = parameters[offset + OPAMP.gainBandwidthRadPerS]!;
  const slew = parameters[offset + OPAMP.slewVPerS]!;
  const leak = w / parameters[offset + OPAMP.openLoopGain]!;
  const given = history + leak * 0.5 * (high + low);
  // s(1) = 1/√2: beyond it the amplifier slews.
  const lower = Math.max(((rate + leak) * low - given) / slew, -Math.SQRT1_2);
  const upper = Math.min(((rate + leak) * high - given) / slew, Math.SQRT1_2);
  const scale = slew / w;
  out[at] = (scale * lower) / Math.sqrt(1 - Math.min(lower * lower, 0.5));
  out[at + 1] = (scale * upper) / Math.sqrt(1 - Math.min(upper * upper, 0.5));
}

/** The e ≥ 0 that solves a·e + clamp·q(e) = push. */
function kneeExcess(push: number, a: number, clamp: number): number {
  const pushAtKneeEnd = OPAMP_KNEE_V * (a + 0.5 * clamp);
  if (push >= pushAtKneeEnd) return (push + 0.5 * clamp * OPAMP_KNEE_V) / (a + clamp);
  const curvature = clamp / OPAMP_KNEE_V;
  return (2 * push) / (a + Math.sqrt(a * a + 2 * curvature * push));
}
