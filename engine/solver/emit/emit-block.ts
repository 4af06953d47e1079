import { type BlockMemory, firstPorts } from '../block-memory.ts';
import type { CompiledBlock, CompiledCircuit } from '../compiled-circuit.ts';
import { FAULT_ABOVE } from '../newton-limits.ts';
import { DeviceEmitter } from './emit-devices.ts';
import { NewtonEmitter, type NewtonStart } from './emit-newton.ts';
import { NodalEmitter } from './emit-nodal.ts';
import { emitOpampJump } from './emit-opamp-jump.ts';
import { emitPast } from './emit-past.ts';
import {
  absolute,
  add,
  addressOf,
  type Code,
  type Local,
  less,
  load,
  multiply,
  not,
  sum,
} from './expression.ts';
import type { FunctionBuilder } from './function-builder.ts';
import { PortSystem } from './port-system.ts';
import type { BlockPlace, BlockStructure } from './structure.ts';

/** Shared by a block and the loop around it. */
export interface BlockContext {
  /** Code that reads a known voltage, by node index. */
  readonly known: (index: number) => Code;
  readonly setKnown: (index: number, value: Code) => void;
  /** Whether a block sets the voltage in every sample; a voltage that no block sets is known early. */
  readonly isWritten: (node: number) => boolean;
  /** Adds to the current out of a node. */
  readonly addCurrent: (node: number, amps: Code) => void;
  /** Adds to the load of the op-amp that drives a node, if this is predicted and not solved in the block; as it is at the end of the sample. */
  readonly addLoad: (node: number, amps: Code) => void;
  /** Stores a voltage as the probe's, if the probe is in this block. */
  readonly probe: (volts: Code) => void;
  /** Ends the loop: a number in this block was not finite. */
  readonly fault: () => void;
}

/** Emits one block as straight-line code over the reduced matrices of BlockCoefficients. */
export class BlockEmitter {
  readonly memory: BlockMemory;
  readonly #f: FunctionBuilder;
  readonly #block: CompiledBlock;
  readonly #place: BlockPlace;
  readonly #devices: DeviceEmitter;
  readonly #newton: NewtonEmitter;
  readonly #nodal: NodalEmitter | undefined;
  readonly #ports: readonly number[];
  readonly #stepsPerS: number;

  constructor(f: FunctionBuilder, circuit: CompiledCircuit, block: CompiledBlock, place: BlockPlace) {
    this.#f = f;
    this.#block = block;
    this.memory = place.memory;
    this.#place = place;
    this.#ports = firstPorts(block);
    this.#devices = new DeviceEmitter(f, circuit, block, place);
    this.#newton = new NewtonEmitter(f, block, place.memory, this.#devices);
    this.#stepsPerS = circuit.sampleRateHz * block.substeps;
    this.#nodal = block.nodal && new NodalEmitter(f, block, block.nodal, place);
  }

  /**
   * Code for the start of a sample, before all blocks; undefined if there is none. Long chains of roots,
   * quotients and exponentials of the blocks then run in parallel instead of one after the other.
   */
  prepare({ known, isWritten }: Pick<BlockContext, 'known' | 'isWritten'>): NewtonStart | undefined {
    if (this.memory.portCount === 0 || this.#block.substeps > 1) return undefined;
    return this.#devices.isKnownAhead(isWritten) ? this.#newton.prepare(known) : undefined;
  }

  /** One sample of a block that takes one step in it. @param prepared By `prepare`. */
  emit(context: BlockContext, prepared: NewtonStart | undefined): void {
    const inputs = this.#block.inputs.map((index) => context.known(index));
    this.emitMeters(this.emitStep(inputs, context, prepared), (index, amps) => {
      const drawn = this.#f.define(amps);
      context.addCurrent(this.#block.meteredNodes[index]!, drawn);
      context.addLoad(this.#block.meteredNodes[index]!, drawn);
    });
  }

  /**
   * One step. Every row is stored as soon as it is computed: otherwise V8 delays it until it is needed and
   * keeps all its operands on the stack.
   *
   * @param inputs Code of u. @returns Code of z.
   */
  emitStep(inputs: readonly Code[], context: BlockContext, prepared?: NewtonStart): readonly Code[] {
    if (this.#nodal) return this.#emitNodalStep(this.#nodal, inputs, context, prepared);
    const { stateCount, portCount } = this.memory;
    const isSolved = (column: number) => column >= stateCount + inputs.length;
    const isMoving = (column: number) =>
      column >= stateCount && context.isWritten(this.#block.inputs[column - stateCount]!);
    let pasts: readonly Code[] = [];
    const emitSystem = () => {
      pasts = this.#emitPasts();
      const given = [...pasts, ...inputs];
      const open = Array.from({ length: portCount }, (_, row) =>
        this.#f.settle(this.#row('portRows', row, given, isMoving)),
      );
      const ranged = this.#devices.withRanges(open, context.known);
      return new PortSystem(this.#f, this.#block, this.#place, ranged);
    };
    const start = portCount > 0 ? (prepared ?? this.#newton.prepare(context.known)) : undefined;
    const currents = start
      ? this.#newton.emit(start, emitSystem, (g) => this.#emitJump(g, start)).currents
      : [];
    if (portCount === 0) pasts = this.#emitPasts();
    const all = [...pasts, ...inputs, ...currents];
    this.#block.outputs.forEach((node, row) => {
      context.setKnown(node, this.#row('outputRows', row, all, isSolved));
    });
    // Any node may be probed, so no entry may be omitted.
    context.probe(this.#probed(all));
    const next = pasts.map((_, row) => this.#f.define(this.#row('stateRows', row, all, isSolved)));
    this.#emitAdvance(next, currents, context);
    this.#emitCheck([...next, ...currents], context);
    return all;
  }

  /** One step by the node equations. @returns Code of z. */
  #emitNodalStep(
    nodal: NodalEmitter,
    inputs: readonly Code[],
    context: BlockContext,
    prepared: NewtonStart | undefined,
  ): readonly Code[] {
    const { portCount, nodalStates } = this.memory;
    let pasts: readonly Code[] = [];
    const emitSystem = () => {
      pasts = this.#emitPasts();
      nodal.begin(pasts, inputs);
      return nodal;
    };
    const start = portCount > 0 ? (prepared ?? this.#newton.prepare(context.known)) : undefined;
    const { currents, nodes } = start ? this.#newton.emit(start, emitSystem) : { currents: [], nodes: [] };
    if (!start) emitSystem();
    const volts = nodal.finish(nodes);
    const all = [...pasts, ...inputs, ...currents];
    context.probe(this.#probed([...this.#block.unknowns.map((_, index) => volts.get(index)!), ...inputs]));
    const next = this.#block.states.map(({ a, b, inductive }, index) => {
      const across = nodal.across(a, b, volts);
      if (!inductive) return this.#f.define(across);
      return this.#f.define(add(multiply(across, load(addressOf(nodalStates, index))), pasts[index]!));
    });
    this.#emitAdvance(next, currents, context);
    // Not the currents, so that they are not computed where no rail reads them.
    this.#emitCheck([...next, ...nodes], context);
    for (const node of this.#block.outputs) context.setKnown(node, nodal.across(node, 0, volts));
    return all;
  }

  /** Past of each state, stored as soon as it is computed. */
  #emitPasts(): readonly Code[] {
    const { stateCount, stateHistory } = this.memory;
    return Array.from({ length: stateCount }, (_, index) =>
      this.#f.settle(emitPast(this.#f, this.#block.formula, stateHistory, index)),
    );
  }

  /** Voltage of the probed node. */
  #probed(values: readonly Code[]): Code {
    const { probeRow } = this.memory;
    return sum(values.map((value, column) => multiply(value, load(addressOf(probeRow, column)))));
  }

  /** Ends the loop if a value is not finite, or impossible. */
  #emitCheck(values: readonly Code[], context: BlockContext): void {
    // A comparison with NaN is false.
    const isSound = less(absolute(sum(values)), this.#f.constant(FAULT_ABOVE));
    this.#f.whenRarely(not(isSound), context.fault);
  }

  /** Currents from known nodes into the block. @param z Code of z. @param give Takes the current of a metered node. */
  emitMeters(z: readonly Code[], give: (index: number, amps: Code) => void): void {
    this.#block.meteredNodes.forEach((_, index) => {
      give(
        index,
        this.#row('meterRows', index, z, () => false),
      );
    });
  }

  /**
   * Σ coefficient·z over the entries that can differ from zero, within the columns given. Terms that are known
   * late are added last, so that a block waits only for its inputs, not for its own sums.
   *
   * @param late Whether a column is known later than the others.
   */
  #row(rows: keyof BlockStructure, row: number, z: readonly Code[], late: (column: number) => boolean): Code {
    const { width } = this.memory;
    const columns = z
      .map((_, column) => column)
      .filter((column) => this.#place.structure[rows][row * width + column]);
    const termsOf = (chosen: readonly number[]) =>
      sum(
        chosen.map((column) =>
          multiply(z[column]!, load(addressOf(this.memory[rows], row * width + column))),
        ),
      );
    const [first, last] = [columns.filter((column) => !late(column)), columns.filter(late)];
    if (first.length === 0 || last.length === 0) return termsOf(columns);
    return add(termsOf(first), termsOf(last));
  }

  /**
   * Adds to the output of an op-amp what a jump within the step gives, where it is the only device of its block: what stands at
   * its input then depends on its own output alone, in proportion.
   *
   * @param g Solved port currents; changed in place.
   */
  #emitJump(g: readonly Local[], { given }: NewtonStart): void {
    const [device, ...others] = this.#block.devices;
    if (!device || device.outputNode < 0 || others.length > 0) return;
    const parametersAddress = this.#place.parametersAddress + 8 * device.offset;
    emitOpampJump(this.#f, g[0]!, {
      ...{ memory: this.memory, parametersAddress, history: given[0]!.history! },
      ...{ formula: this.#block.formula, stepsPerS: this.#stepsPerS },
    });
  }

  #emitAdvance(next: readonly Code[], currents: readonly Code[], context: BlockContext): void {
    const f = this.#f;
    const { stateHistory, opampHistory } = this.memory;
    const push = (history: Float64Array, index: number, value: Code) => {
      const at = (age: number) => addressOf(history, 3 * index + age);
      f.store(at(2), load(at(1)));
      f.store(at(1), load(at(0)));
      f.store(at(0), value);
    };
    this.#block.devices.forEach(({ outputNode }, device) => {
      if (outputNode < 0) return;
      const out = currents[this.#ports[device]!]!;
      push(opampHistory, device, out);
      context.setKnown(outputNode, out);
    });
    next.forEach((value, index) => {
      push(stateHistory, index, value);
    });
  }
}
