import { derivative, input } from '../../devices/formula.ts';
import {
  OPAMP_CLAMP_V,
  OPAMP_KNEE_V,
  OPAMP_PARAMETERS,
  opampRate,
  slewed,
} from '../../devices/opamp-equations.ts';
import { STEP_FORMULAS, type StepFormulaName } from '../backward-difference.ts';
import type { BlockMemory } from '../block-memory.ts';
import { emitFormulas } from './emit-formula.ts';
import {
  absolute,
  add,
  addressOf,
  both,
  type Code,
  divide,
  double,
  equal,
  get,
  greater,
  type Local,
  less,
  load,
  multiply,
  not,
  select,
  squareRoot,
  subtract,
} from './expression.ts';
import type { FunctionBuilder } from './function-builder.ts';

/*
 * Where an op-amp leaves its limit, or turns from one slew rate to the other, its rate jumps within a step. The backward
 * difference takes rates at the ends of steps, and their sum is that of trapezoids: such a jump counts as in the middle of its
 * step, so that the whole edge after it comes up to half a step early or late. So in these few steps the op-amp's own
 * equation is integrated in small steps, along the parabola of what stands at its input, and the output gets the difference to
 * the trapezoid.
 */

/** Small steps in a step: with 48 in place of 8 the error of the worst circuits changes by less than 1 dB. */
const SMALL_STEPS = 8;
/** The input moves less than this in a step of an op-amp that neither slews nor limits, V. */
const MOST_STILL_V = 0.02;
/** Changes of the slew rate that are followed, as a share of the largest. */
const LEAST_CHANGE = 0.3;
/** By what the rate differs from the slewed input's, as a share of the largest, where the output is at a limit. */
const [LIMITED_BEFORE, LIMITED_AFTER] = [0.05, 0.1];
/** Further than any output, V. */
const FAR_V = 1e3;

const [VD, OUT, HIGH, LOW] = [input('vd'), input('out'), input('high'), input('low')];
/** Without the leak, which moves the output far less than a jump. */
const RATE = opampRate(VD, OUT, HIGH, LOW, OUT);
const RATES = [RATE, derivative(RATE, VD), derivative(RATE, OUT)];

/** A step of the only op-amp and device of a block that has been solved, before the histories are shifted. */
export interface OpampStep {
  readonly memory: BlockMemory;
  /** Byte address of its numbers. */
  readonly parametersAddress: number;
  /** The memory of its equation, V/s. */
  readonly history: Code;
  readonly formula: StepFormulaName;
  readonly stepsPerS: number;
}

/** Adds to an op-amp's output what a jump of its rate within the step gives. @param out The output, V. */
export function emitOpampJump(f: FunctionBuilder, out: Local, step: OpampStep): void {
  const { memory, history, formula, stepsPerS } = step;
  const vd = f.define(load(addressOf(memory.voltages, 0)));
  const lastVd = f.define(load(addressOf(memory.lastVoltages, 0)));
  // Both are the same behind a reset, without the input range: there is no jump from that.
  const hasPast = not(equal(lastVd, load(addressOf(memory.earlierVoltages, 0))));
  const moves = greater(absolute(subtract(vd, lastVd)), double(MOST_STILL_V));
  f.whenRarely(both(moves, hasPast), () => {
    const parameters = parametersOf(f, step);
    const slews = { before: emitSlewed(f, lastVd, parameters), after: emitSlewed(f, vd, parameters) };
    const rate = double(STEP_FORMULAS[formula].rate * stepsPerS);
    const after = f.define(subtract(multiply(get(out), rate), history));
    const before = emitRateBefore(f, step, slews.before);
    emitJump(f, step, { out, lastVd, vd, rates: { before, after }, slews, parameters });
  });
}

/**
 * The rate at the end of the step before, V/s: that of the parabola through the last outputs. Where a jump was added to the last
 * one, the output was free, and its rate follows from its input.
 */
function emitRateBefore(f: FunctionBuilder, { memory, stepsPerS }: OpampStep, slewed: Code): Code {
  const at = (age: number) => load(addressOf(memory.opampHistory, age));
  const newer = multiply(subtract(at(0), at(1)), double(1.5 * stepsPerS));
  const older = multiply(subtract(at(1), at(2)), double(0.5 * stepsPerS));
  const hasJumped = equal(at(0), load(addressOf(memory.opampJumps, 0)));
  return f.define(select(hasJumped, slewed, subtract(newer, older)));
}

type Parameters = Readonly<Record<string, Code>>;

interface Jump {
  readonly out: Local;
  readonly lastVd: Code;
  readonly vd: Code;
  /** Rates at both ends of the step, V/s, and what they would be without limits of the output. */
  readonly rates: { readonly before: Code; readonly after: Code };
  readonly slews: { readonly before: Code; readonly after: Code };
  readonly parameters: Parameters;
}

function parametersOf(f: FunctionBuilder, { parametersAddress }: OpampStep): Parameters {
  const read = (index: number) => f.define(load(parametersAddress + 8 * index));
  const named = ['gainBandwidthRadPerS', 'slewVPerS'] as const;
  return Object.fromEntries(named.map((name) => [name, read(OPAMP_PARAMETERS.indexOf(name))]));
}

/** Rate of an output that is at no limit, V/s. */
function emitSlewed(f: FunctionBuilder, vd: Code, parameters: Parameters): Code {
  return f.define(emitFormulas(f, [slewed(VD)], { ...parameters, vd }, undefined)[0]!);
}

/** Adds to the output what the jump gives, unless it stands at a limit after the step. */
function emitJump(f: FunctionBuilder, step: OpampStep, jump: Jump): void {
  const { rates, slews, parameters, out } = jump;
  const shareOf = (share: number) => multiply(parameters.slewVPerS!, double(share));
  const jumps = greater(absolute(subtract(slews.after, slews.before)), shareOf(LEAST_CHANGE));
  const isFree = less(absolute(subtract(rates.after, slews.after)), shareOf(LIMITED_AFTER));
  f.whenRarely(both(jumps, isFree), () => {
    const moved = emitMoved(f, step, jump);
    const trapezoid = multiply(add(rates.before, rates.after), double(0.5 / step.stepsPerS));
    const gained = multiply(subtract(moved, trapezoid), double(1 / STEP_FORMULAS[step.formula].rate));
    f.set(out, add(get(out), gained));
    f.store(addressOf(step.memory.opampJumps, 0), get(out));
  });
}

/** How far the output moves in the step, V: the linearly implicit midpoint rule in small steps. */
function emitMoved(f: FunctionBuilder, step: OpampStep, jump: Jump): Code {
  const { memory, stepsPerS } = step;
  // How the output itself moves the input within a step.
  const own = f.define(load(addressOf(memory.portRows, memory.width - memory.portCount)));
  const before = f.define(load(addressOf(memory.opampHistory, 0)));
  const inputAt = emitInput(f, step, jump, { own, before });
  const limits = emitLimits(f, jump, before);
  const moved = f.variable(double(0));
  const middle = f.variable(double(0.5 / SMALL_STEPS));
  f.loop(({ againIf }) => {
    const vd = f.define(add(inputAt(get(middle)), multiply(own, get(moved))));
    const inputs = { ...jump.parameters, ...limits, vd, out: f.define(add(before, get(moved))) };
    const [rate, byInput, byOutput] = emitFormulas(f, RATES, inputs, undefined);
    const slope = add(multiply(own, byInput!), byOutput!);
    const small = 1 / (SMALL_STEPS * stepsPerS);
    const implicit = subtract(double(1), multiply(slope, double(0.5 * small)));
    f.set(moved, add(get(moved), divide(multiply(rate!, double(small)), implicit)));
    f.set(middle, add(get(middle), double(1 / SMALL_STEPS)));
    againIf(less(get(middle), double(1)));
  });
  return get(moved);
}

/**
 * The differential input within the step if the output stood still: the parabola through the last three.
 *
 * @returns Code at a time in steps, from 0 to 1.
 */
function emitInput(
  f: FunctionBuilder,
  { memory }: OpampStep,
  { lastVd, vd, out }: Jump,
  { own, before }: { readonly own: Code; readonly before: Code },
): (time: Code) => Code {
  const earlier = load(addressOf(memory.opampHistory, 1));
  const change = (volts: Code, output: Code) =>
    f.define(subtract(subtract(volts, lastVd), multiply(own, subtract(output, before))));
  const next = change(vd, get(out));
  const previous = change(load(addressOf(memory.earlierVoltages, 0)), earlier);
  const bend = f.define(multiply(add(next, previous), double(0.5)));
  const slope = f.define(multiply(subtract(next, previous), double(0.5)));
  return (time) => add(lastVd, multiply(time, add(slope, multiply(time, bend))));
}

/**
 * Where the output limits, from what its limit took from the rate before: q(e)·S/0.1 V, see `opampRate`. Within a step the limit
 * stands still, and a limit that the output does not leave plays no part.
 */
function emitLimits(
  f: FunctionBuilder,
  { rates, slews, parameters }: Jump,
  before: Code,
): { readonly high: Code; readonly low: Code } {
  const taken = f.define(divide(subtract(slews.before, rates.before), parameters.slewVPerS!));
  const kneed = f.define(multiply(absolute(taken), double(OPAMP_CLAMP_V)));
  const within = squareRoot(multiply(kneed, double(2 * OPAMP_KNEE_V)));
  const past = add(kneed, double(OPAMP_KNEE_V / 2));
  const excess = f.define(select(less(kneed, double(OPAMP_KNEE_V / 2)), within, past));
  const isHigh = greater(taken, double(LIMITED_BEFORE));
  const isLow = less(taken, double(-LIMITED_BEFORE));
  return {
    high: f.define(select(isHigh, subtract(before, excess), double(FAR_V))),
    low: f.define(select(isLow, add(before, excess), double(-FAR_V))),
  };
}
