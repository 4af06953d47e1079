import { type BlockMemory, firstPorts } from '../block-memory.ts';
import { FAULT_ABOVE } from '../block-solver.ts';
import type { CompiledBlock, CompiledCircuit } from '../compiled-circuit.ts';
import { type BlockPlace, NewtonEmitter } from './emit-newton.ts';
import type { FunctionBuilder } from './function-builder.ts';
import type { BlockStructure } from './structure.ts';
import { absolute, addressOf, type Code, double, less, load, multiply, sum } from './wasm-code.ts';

/** What a block shares with the loop around it. */
export interface BlockContext {
  /** Code that reads a known voltage, by node index. */
  readonly known: (index: number) => Code;
  readonly setKnown: (index: number, value: Code) => void;
  /** Adds to the current out of a node. */
  readonly addCurrent: (node: number, amps: Code) => void;
  /** Keeps a voltage as the probe's, where the probe is in this block. */
  readonly probe: (volts: Code) => void;
  /** Ends the loop: a number in this block was not finite. */
  readonly fault: () => void;
}

/** Emits one block as straight-line code: the same arithmetic as BlockSolver and PortNewton. */
export class BlockEmitter {
  readonly #f: FunctionBuilder;
  readonly #block: CompiledBlock;
  readonly #memory: BlockMemory;
  readonly #structure: BlockStructure;
  readonly #newton: NewtonEmitter;
  readonly #ports: readonly number[];

  constructor(f: FunctionBuilder, circuit: CompiledCircuit, block: CompiledBlock, place: BlockPlace) {
    this.#f = f;
    this.#block = block;
    this.#memory = place.memory;
    this.#structure = place.structure;
    this.#ports = firstPorts(block);
    this.#newton = new NewtonEmitter(f, circuit, block, place);
  }

  /** One sample of the block. */
  emit(context: BlockContext): void {
    const f = this.#f;
    const { stateCount, portCount, z } = this.#memory;
    const sources = Array.from({ length: stateCount }, (_, index) => f.define(load(addressOf(z, index))));
    const inputs = this.#block.inputs.map((index) => context.known(index));
    const given = [...sources, ...inputs];
    const open = Array.from({ length: portCount }, (_, row) => f.define(this.#row('portRows', row, given)));
    const currents: Code[] = portCount > 0 ? this.#newton.emit(open, context.known) : [];
    const all = [...sources, ...inputs, ...currents];
    const next = sources.map((_, row) => f.define(this.#row('stateRows', row, all)));
    const total = f.define(sum([...next, ...currents]));
    // A comparison with what is not a number is false.
    f.when(less(absolute(total), double(FAULT_ABOVE)), () => undefined, context.fault);
    // Any node may be probed, so that no entry is left out.
    const { probeRow } = this.#memory;
    context.probe(sum(all.map((value, column) => multiply(value, load(addressOf(probeRow, column))))));
    // The rows of outputs and meters read this sample's sources, so they come before the sources move on.
    this.#block.outputs.forEach((node, row) => {
      context.setKnown(node, this.#row('outputRows', row, all));
    });
    this.#block.meteredNodes.forEach((node, row) => {
      context.addCurrent(node, this.#row('meterRows', row, all));
    });
    this.#emitAdvance(sources, next, currents, context);
  }

  /** Σ coefficient·z over the entries that can differ from zero, within the columns given. */
  #row(rows: keyof BlockStructure, row: number, z: readonly Code[]): Code {
    const { width } = this.#memory;
    const terms = z.flatMap((value, column) => {
      const entry = row * width + column;
      return this.#structure[rows][entry]
        ? [multiply(value, load(addressOf(this.#memory[rows], entry)))]
        : [];
    });
    return sum(terms);
  }

  #emitAdvance(
    sources: readonly Code[],
    next: readonly Code[],
    currents: readonly Code[],
    context: BlockContext,
  ): void {
    const f = this.#f;
    const { z, previousSources, opampOutputs } = this.#memory;
    this.#block.devices.forEach(({ outputNode }, device) => {
      if (outputNode < 0) return;
      const out = currents[this.#ports[device]!]!;
      f.store(addressOf(opampOutputs, 2 * device + 1), load(addressOf(opampOutputs, 2 * device)));
      f.store(addressOf(opampOutputs, 2 * device), out);
      context.setKnown(outputNode, out);
    });
    next.forEach((value, index) => {
      f.store(addressOf(previousSources, index), sources[index]!);
      f.store(addressOf(z, index), value);
    });
  }
}
