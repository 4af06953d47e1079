import type { CompiledBlock, CompiledCircuit } from '../compiled-circuit.ts';
import { DECIMATOR_TAPS, HALFWAY_TAPS, inputsWithin, WITHIN, writtenNodes } from '../half-steps.ts';
import type { BlockContext, BlockEmitter } from './emit-block.ts';
import type { FunctionBuilder } from './function-builder.ts';
import {
  addInteger,
  addressOf,
  type Code,
  double,
  get,
  integer,
  type Local,
  lessInteger,
  load,
  multiply,
  sum,
} from './wasm-code.ts';

/** What a half-stepping block shares with the loop around it. */
export interface HalfStepContext extends BlockContext {
  /** Variables that hold a written node's voltage half way and at the end of the sample, before decimation. */
  readonly middle: (node: number) => Local;
  readonly end: (node: number) => Local;
}

/** One sample of a block that takes two steps in it, as HalfStepSolver: a loop around the block's own code. */
export function emitHalfSteps(
  f: FunctionBuilder,
  circuit: CompiledCircuit,
  block: CompiledBlock,
  emitter: BlockEmitter,
  context: HalfStepContext,
): void {
  const { inputPast, writtenPast } = emitter.memory;
  const written = writtenNodes(block);
  const within = inputsWithin(circuit, block);
  const moving = block.inputs.map((node, index) => {
    if (within[index] === WITHIN.still) return undefined;
    if (within[index] === WITHIN.stepped) return f.variable(get(context.middle(node)));
    return f.variable(emitHalfway(f, context.known(node), addressOf(inputPast, 2 * index)));
  });
  const inputs = block.inputs.map((node, index) => {
    const local = moving[index];
    return local === undefined ? context.known(node) : get(local);
  });
  const known = (node: number) => inputs[block.inputs.indexOf(node)] ?? context.known(node);
  const step = f.defineInteger(integer(0));
  let solved: readonly Code[] = [];
  f.loop(({ againIf }) => {
    solved = emitter.emitStep(inputs, { ...context, known });
    for (const node of written) {
      f.set(context.middle(node), get(context.end(node)));
      f.set(context.end(node), context.known(node));
    }
    block.inputs.forEach((node, index) => {
      const local = moving[index];
      if (local === undefined) return;
      f.set(local, within[index] === WITHIN.stepped ? get(context.end(node)) : context.known(node));
    });
    f.set(step, addInteger(get(step), integer(1)));
    againIf(lessInteger(get(step), integer(2)));
  });
  emitter.emitMeters(solved, context);
  written.forEach((node, index) => {
    emitDecimated(f, node, addressOf(writtenPast, 3 * index), context);
  });
}

/** The voltage half a sample ago; keeps what the next sample needs. */
function emitHalfway(f: FunctionBuilder, now: Code, past: number): Code {
  const [forNow, forBefore, forEarlier] = HALFWAY_TAPS;
  const before = f.define(load(past));
  const halfway = f.define(
    sum([
      multiply(double(forNow), now),
      multiply(double(forBefore), before),
      multiply(double(forEarlier), load(past + 8)),
    ]),
  );
  f.store(past + 8, before);
  f.store(past, now);
  return halfway;
}

function emitDecimated(f: FunctionBuilder, node: number, past: number, context: HalfStepContext): void {
  const end = get(context.end(node));
  const middle = get(context.middle(node));
  const values = [end, middle, load(past), load(past + 8), load(past + 16)];
  context.setKnown(node, sum(values.map((value, index) => multiply(double(DECIMATOR_TAPS[index]!), value))));
  f.store(past + 16, load(past));
  f.store(past + 8, middle);
  f.store(past, end);
}
