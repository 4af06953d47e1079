import type { CompiledBlock, CompiledCircuit } from '../compiled-circuit.ts';
import {
  decimatorTaps,
  endWeights,
  inputsWithin,
  interpolationWeights,
  WITHIN,
  writtenNodes,
} from '../substeps.ts';
import type { BlockContext, BlockEmitter } from './emit-block.ts';
import {
  add,
  addInteger,
  addressOf,
  type Code,
  double,
  equal,
  get,
  integer,
  type Local,
  lessInteger,
  load,
  multiply,
  not,
  sum,
} from './expression.ts';
import type { FunctionBuilder } from './function-builder.ts';

/** Shared by a block of several steps and the loop around it. */
export interface SubstepContext extends BlockContext {
  /** Variables that hold a written node's voltage at each step of the sample, before decimation. */
  readonly stepVolts: (node: number) => readonly Local[];
}

/** One sample of a block that takes several steps in it (see substeps.ts): a loop around the block's own code. */
export function emitSubsteps(
  f: FunctionBuilder,
  circuit: CompiledCircuit,
  block: CompiledBlock,
  emitter: BlockEmitter,
  context: SubstepContext,
): void {
  const { inputPast, writtenPast, drawnPast } = emitter.memory;
  const { substeps } = block;
  const written = writtenNodes(block);
  const within = inputsWithin(circuit, block);
  /** For each changing input, its voltages from the present step on. */
  const moving = block.inputs.map((node, index) => {
    if (within[index] === WITHIN.still) return [];
    if (within[index] === WITHIN.stepped) {
      return context.stepVolts(node).map((local) => f.variable(get(local)));
    }
    return emitInterpolated(f, context.known(node), addressOf(inputPast, 2 * index), substeps);
  });
  const inputs = block.inputs.map((node, index) => {
    const now = moving[index]![0];
    return now === undefined ? context.known(node) : get(now);
  });
  const known = (node: number) => inputs[block.inputs.indexOf(node)] ?? context.known(node);
  const step = f.integerVariable(integer(0));
  // Currents are linear in z, so that their sums follow from the sum of z.
  const isConstant = (column: number) => within[column - emitter.memory.stateCount] === WITHIN.still;
  const columns = block.meteredNodes.length > 0 ? emitter.memory.width : 0;
  const sums = Array.from({ length: columns }, (_, column) =>
    isConstant(column) ? undefined : f.variable(double(0)),
  );
  let solved: readonly Code[] = [];
  f.loop(({ againIf }) => {
    solved = emitter.emitStep(inputs, { ...context, known });
    for (const [column, local] of sums.entries()) if (local) f.set(local, add(get(local), solved[column]!));
    for (const node of written) {
      const locals = context.stepVolts(node);
      shift(f, locals);
      f.set(locals.at(-1)!, context.known(node));
    }
    for (const locals of moving) shift(f, locals);
    f.set(step, addInteger(get(step), integer(1)));
    againIf(lessInteger(get(step), integer(substeps)));
  });
  const total = sums.map((local, column) =>
    local ? get(local) : multiply(solved[column]!, double(substeps)),
  );
  const totals: Code[] = [];
  emitter.emitMeters(total, (_, amps) => totals.push(f.define(amps)));
  const drawn = block.drawsMeans
    ? totals.map((amps) => multiply(amps, double(1 / substeps)))
    : emitDrawn(f, totals, drawnPast, substeps);
  drawn.forEach((amps, index) => {
    context.addCurrent(block.meteredNodes[index]!, amps);
  });
  emitter.emitMeters(solved, (index, amps) => {
    context.addLoad(block.meteredNodes[index]!, amps);
  });
  written.forEach((node, index) => {
    const past = addressOf(writtenPast, (substeps + 1) * index);
    context.setKnown(node, emitDecimated(f, context.stepVolts(node), past));
  });
}

/** Gives every variable the value of the next; the last one stays. */
function shift(f: FunctionBuilder, locals: readonly Local[]): void {
  for (let index = 0; index + 1 < locals.length; index++) f.set(locals[index]!, get(locals[index + 1]!));
}

/** The voltages of a smooth input at each step; stores what the next sample needs. */
function emitInterpolated(f: FunctionBuilder, now: Code, past: number, substeps: number): Local[] {
  const voltages = [now, f.define(load(past)), f.define(load(past + 8))];
  const locals = interpolationWeights(substeps).map((weights) =>
    f.variable(sum(voltages.map((volts, index) => multiply(volts, f.constant(weights[index]!))))),
  );
  f.store(past + 8, voltages[1]!);
  f.store(past, now);
  return locals;
}

/**
 * Currents at the end of a sample, from the means over its steps and those of the two samples before (`endWeights`). The
 * current of the last step alone would alias; the mean alone comes late, which is an error of first order, but less of one
 * where diodes drive a rail hard: there the currents jump. Stores what the next sample needs. After a reset the stored
 * sums are not numbers, and the currents are taken as constant.
 *
 * @param totals Sums over the steps instead of means, which saves divisions.
 */
function emitDrawn(
  f: FunctionBuilder,
  totals: readonly Code[],
  drawnPast: Float64Array,
  substeps: number,
): Code[] {
  if (totals.length === 0) return [];
  const past = (index: number, age: number) => addressOf(drawnPast, 2 * index + age);
  f.whenRarely(not(equal(load(past(0, 0)), load(past(0, 0)))), () => {
    totals.forEach((total, index) => {
      f.store(past(index, 0), total);
      f.store(past(index, 1), total);
    });
  });
  const weights = endWeights(substeps).map((weight) => f.constant(weight / substeps));
  return totals.map((total, index) => {
    const ages = [total, f.define(load(past(index, 0))), load(past(index, 1))];
    const now = f.define(sum(ages.map((amps, age) => multiply(amps, weights[age]!))));
    f.store(past(index, 1), ages[1]!);
    f.store(past(index, 0), total);
    return now;
  });
}

/** The decimated voltage; stores what the next sample needs. @param steps The sample's voltages, the latest last. */
function emitDecimated(f: FunctionBuilder, steps: readonly Local[], past: number): Code {
  const latestFirst = steps.map(get).reverse();
  const earlier = Array.from({ length: steps.length + 1 }, (_, index) => load(past + 8 * index));
  const taps = decimatorTaps(steps.length);
  const decimated = f.define(
    sum([...latestFirst, ...earlier].map((volts, index) => multiply(volts, f.constant(taps[index]!)))),
  );
  f.store(past + 8 * steps.length, load(past));
  latestFirst.forEach((volts, index) => {
    f.store(past + 8 * index, volts);
  });
  return decimated;
}
