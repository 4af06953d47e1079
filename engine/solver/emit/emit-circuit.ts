import { input } from '../../devices/formula.ts';
import { LOAD_SIEMENS, SOURCED_OHMS, supplyCurrents } from '../../devices/opamp-equations.ts';
import { COUNTER } from '../block-memory.ts';
import { memoryPages, PAGE_BYTES, plainMemory } from '../circuit-memory.ts';
import type { CompiledBlock, CompiledCircuit, CompiledOpamp } from '../compiled-circuit.ts';
import { placeOf } from '../parameters.ts';
import { RAIL_WEIGHTS } from '../rails.ts';
import { writtenNodes } from '../substeps.ts';
import type { Tape } from '../tape.ts';
import { BlockEmitter } from './emit-block.ts';
import { emitFormulas } from './emit-formula.ts';
import { emitSubsteps } from './emit-substeps.ts';
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
  loadAt,
  multiply,
  negate,
  not,
  shiftLeft,
  subtract,
  subtractInteger,
  sum,
  toDouble,
} from './expression.ts';
import { FunctionBuilder } from './function-builder.ts';
import { outline } from './outline.ts';
import { pairedCode } from './paired-code.ts';
import { singleCode } from './single-code.ts';
import { blockStructures } from './structure.ts';
import { tapeCode } from './tape-code.ts';
import { encodeModule, type FunctionBody } from './wasm-module.ts';

/** @see WebAssembly JavaScript Interface, implementation-defined limits: locals of a function */
const MOST_LOCALS = 50_000;

/** Operations of a function, which is divided above that (outline.ts): for a pair one becomes several instructions. */
const MOST_OPERATIONS = { single: 16_000, paired: 8000 } as const;

const INPUT_BIAS = placeOf('opamp', 'inputBiasA');
const QUIESCENT = placeOf('opamp', 'quiescentA');
const LOAD = placeOf('opamp', LOAD_SIEMENS);
const { draw: DRAW, back: BACK } = supplyCurrents(input('sourced'), input('between'));
const SUPPLY_CURRENTS = [DRAW, BACK];

/** WebAssembly modules as bytes. */
export interface EmittedModules {
  /** Of one circuit, over the memory of CircuitMemory. */
  readonly single: Uint8Array;
  /** For two circuits of this structure in step, see `pairedCode`; undefined if not requested. */
  readonly paired: Uint8Array | undefined;
}

/**
 * A circuit's sample loop as straight-line code over its memory, with coefficients in memory, so that a changed value
 * needs no new module. Off the audio thread; some milliseconds.
 *
 * @returns Undefined for a circuit whose code is too large for any engine; a tape runs it.
 */
export function emitCircuit(
  circuit: CompiledCircuit,
  { isPaired }: { readonly isPaired: boolean },
): EmittedModules | undefined {
  const emitter = new CircuitEmitter(circuit);
  const run = emitter.emit();
  const { constants, constantsAddress: address } = run;
  const pages = memoryPages(circuit) + 1;
  const isTooLarge = (bodies: readonly FunctionBody[]) =>
    bodies.some(({ localTypes }) => localTypes.length > MOST_LOCALS);
  const single = singleCode(outline(run, emitter.frame, MOST_OPERATIONS.single));
  if (isTooLarge(single)) return undefined;
  const paired = isPaired ? pairedCode(run, outline(run, emitter.frame, MOST_OPERATIONS.paired)) : undefined;
  return {
    single: encodeModule(single, { pages, address, constants }),
    paired:
      paired && !isTooLarge(paired)
        ? encodeModule(paired, {
            pages: 2 * pages,
            address: 2 * address,
            constants: constants.flatMap((value) => [value, value]),
          })
        : undefined,
  };
}

/** The same sample loop as a tape, tens of times slower. */
export function tapeOfCircuit(circuit: CompiledCircuit): Tape {
  return tapeCode(new CircuitEmitter(circuit).emit());
}

class CircuitEmitter {
  readonly #circuit: CompiledCircuit;
  readonly #memory;
  readonly #f;
  readonly #from: Local;
  readonly #to: Local;
  readonly #frame: Local;
  /** Known voltages in variables, by node index. */
  readonly #known = new Map<number, Local>();
  /** For nodes that blocks of several steps write, their voltage at each step, before decimation. */
  readonly #stepVolts = new Map<number, readonly Local[]>();
  /** Outputs whose load takes the same steps in a sample. */
  readonly #steppedLoads = new Set<number>();
  /** Nodes whose current in this sample is already in memory. */
  readonly #currents = new Set<number>();

  constructor(circuit: CompiledCircuit) {
    this.#circuit = circuit;
    this.#memory = plainMemory(circuit);
    this.#f = new FunctionBuilder(2, memoryPages(circuit) * PAGE_BYTES);
    [this.#from, this.#to] = this.#f.parameters as [Local, Local];
    this.#frame = this.#f.integerVariable(get(this.#from));
  }

  /** Counts the samples of a run. */
  get frame(): Local {
    return this.#frame;
  }

  emit(): FunctionBuilder {
    const f = this.#f;
    const { blocks, inputIndex, outputIndex } = this.#circuit;
    const { input, output, probe, probeBlock, parameters } = this.#memory;
    const structures = blockStructures(this.#circuit);
    const emitters = blocks.map(
      (block, index) =>
        new BlockEmitter(f, this.#circuit, block, {
          memory: this.#memory.blocks[index]!,
          structure: structures[index]!,
          parametersAddress: parameters.byteOffset,
        }),
    );
    const written = new Set(blocks.flatMap(writtenNodes));
    this.#loadKnown();
    const probed = f.define(load(probeBlock.byteOffset));
    f.loop(({ leaveIf, againIf }) => {
      leaveIf(lessInteger(get(this.#to), addInteger(get(this.#frame), integer(1))));
      const bytes = shiftLeft(get(this.#frame), integer(3));
      this.#setKnown(inputIndex, loadAt(bytes, input.byteOffset));
      this.#currents.clear();
      f.cut();
      const known = (node: number) => this.#read(node);
      const isWritten = (node: number) => node === inputIndex || written.has(node);
      const prepared = emitters.map((emitter) => emitter.prepare({ known, isWritten }));
      emitters.forEach((emitter, index) => {
        f.cut();
        const block = blocks[index]!;
        const context = {
          known,
          isWritten,
          setKnown: (node: number, value: Code) => this.#setKnown(node, value),
          addCurrent: (node: number, amps: Code) => this.#addCurrent(node, amps),
          addLoad: (node: number, amps: Code) => this.#addLoad(block, node, amps),
          probe: (volts: Code) =>
            f.whenRarely(equal(probed, double(index)), () => f.storeAt(bytes, probe.byteOffset, volts)),
          fault: () => this.#leaveWithFault(index),
          stepVolts: (node: number) => this.#stepVolts.get(node)!,
        };
        if (block.substeps > 1) emitSubsteps(f, this.#circuit, block, emitter, context);
        else emitter.emit(context, prepared[index]);
      });
      f.cut();
      this.#predictLoads();
      this.#advanceSupplies();
      f.storeAt(bytes, output.byteOffset, get(this.#known.get(outputIndex)!));
      f.set(this.#frame, addInteger(get(this.#frame), integer(1)));
      againIf(integer(1));
    });
    this.#countFirstIterations(-1);
    f.returns(get(this.#to));
    return f;
  }

  #read(node: number): Code {
    if (node === 0) return double(0);
    if (node === this.#circuit.unitIndex) return double(1);
    return get(this.#known.get(node)!);
  }

  #loadKnown(): void {
    const { blocks, opamps, rails, inputIndex, outputIndex, unitIndex } = this.#circuit;
    const nodes = new Set([inputIndex, outputIndex, ...rails.map(({ node }) => node)]);
    for (const { inputs, outputs } of blocks) for (const node of [...inputs, ...outputs]) nodes.add(node);
    for (const { out, positive, negative, isSupplySolved } of opamps)
      for (const node of isSupplySolved ? [out] : [out, positive, negative]) nodes.add(node);
    nodes.delete(0);
    nodes.delete(unitIndex);
    for (const node of nodes) {
      const local = this.#f.newDouble();
      this.#known.set(node, local);
      this.#f.set(local, load(addressOf(this.#memory.known, node)));
    }
    for (const block of blocks) {
      if (block.substeps === 1) continue;
      for (const node of writtenNodes(block)) {
        this.#stepVolts.set(
          node,
          Array.from({ length: block.substeps }, () => this.#f.newDouble()),
        );
      }
    }
  }

  /** Sets a voltage for the following code, and in memory for reading after the run. */
  #setKnown(node: number, value: Code): void {
    const local = this.#known.get(node)!;
    this.#f.set(local, value);
    this.#f.store(addressOf(this.#memory.known, node), get(local));
  }

  /** Adds what a block draws from a node to the load of the op-amp in another block that drives it. */
  #addLoad({ devices, substeps }: CompiledBlock, node: number, amps: Code): void {
    const { opamps } = this.#circuit;
    const driver = opamps.findIndex(({ out, loadNode }) => out === node && loadNode >= 0);
    if (driver < 0 || devices.some(({ opampIndex }) => opampIndex === driver)) return;
    this.#addCurrent(opamps[driver]!.loadNode, amps);
    if (this.#stepVolts.get(node)?.length === substeps) this.#steppedLoads.add(node);
  }

  /** Voltage of an output as its load saw it last: of its last step where the load takes the same steps, before decimation. */
  #seenByLoad(out: number): Code {
    return this.#steppedLoads.has(out) ? get(this.#stepVolts.get(out)!.at(-1)!) : this.#read(out);
  }

  /** What a load will draw in the next sample beside G times the output's voltage: a straight line through the last two. */
  #predictLoads(): void {
    const f = this.#f;
    const { parameters, loadPast } = this.#memory;
    this.#circuit.opamps.forEach(({ out, loadNode, loadBiases, offset }, index) => {
      if (loadNode < 0) return;
      const siemens = load(addressOf(parameters, offset + LOAD));
      const current = this.#withBiases(this.#current(loadNode), loadBiases);
      const rest = subtract(current, multiply(siemens, this.#seenByLoad(out)));
      const now = f.define(multiply(rest, double(SOURCED_OHMS)));
      const past = addressOf(loadPast, index);
      f.whenRarely(not(equal(load(past), load(past))), () => f.store(past, now));
      this.#setKnown(loadNode, subtract(add(now, now), load(past)));
      f.store(past, now);
    });
  }

  #addCurrent(node: number, amps: Code): void {
    const current = this.#current(node);
    this.#f.store(addressOf(this.#memory.nodeCurrents, node), current ? add(current, amps) : amps);
    this.#currents.add(node);
  }

  /** Code that reads the current out of a node so far in this sample; undefined if nothing was added to it. */
  #current(node: number): Code | undefined {
    return this.#currents.has(node) ? load(addressOf(this.#memory.nodeCurrents, node)) : undefined;
  }

  #leaveWithFault(block: number): void {
    this.#f.store(this.#memory.faultyBlock.byteOffset, double(block));
    this.#countFirstIterations(block);
    this.#f.returns(get(this.#frame));
  }

  /** Counts one iteration a step for each block with ports; after a fault, only for the blocks up to the faulty one. */
  #countFirstIterations(faulty: number): void {
    const samples = this.#f.define(toDouble(subtractInteger(get(this.#frame), get(this.#from))));
    this.#memory.blocks.forEach(({ portCount, counters }, index) => {
      if (portCount === 0) return;
      const address = addressOf(counters, COUNTER.iterations);
      const { substeps } = this.#circuit.blocks[index]!;
      const steps = multiply(samples, double(substeps));
      const left = index === faulty ? 1 : substeps;
      const count = index <= faulty ? add(steps, double(left)) : steps;
      this.#f.store(address, add(load(address), count));
    });
  }

  #isRail(node: number): boolean {
    return this.#circuit.rails.some((rail) => rail.node === node);
  }

  /** A current out of an output with that into the inputs at it. */
  #withBiases(current: Code | undefined, loadBiases: readonly number[]): Code {
    const biases = loadBiases.map((offset) => load(addressOf(this.#memory.parameters, offset)));
    return sum(current ? [current, ...biases] : biases);
  }

  /** Supply currents of the op-amps, then a step of the rails on their capacitance. */
  #advanceSupplies(): void {
    const { opamps } = this.#circuit;
    const { parameters } = this.#memory;
    for (const { plus, minus, offset } of opamps) {
      const bias = load(addressOf(parameters, offset + INPUT_BIAS));
      for (const node of [plus, minus]) if (this.#isRail(node)) this.#addCurrent(node, bias);
    }
    for (const opamp of opamps) if (!opamp.isSupplySolved) this.#drawSupply(opamp);
    this.#advanceRails();
  }

  /** Current that an op-amp takes from its positive supply pin and returns to the negative one. */
  #drawSupply({ out, positive, negative, loadBiases, offset }: CompiledOpamp): void {
    const f = this.#f;
    const between = f.define(subtract(this.#read(positive), this.#read(negative)));
    const inputs = {
      between,
      sourced: this.#withBiases(this.#current(out), loadBiases),
      quiescentA: load(addressOf(this.#memory.parameters, offset + QUIESCENT)),
    };
    const [draw, back] = emitFormulas(f, SUPPLY_CURRENTS, inputs, undefined).map((code) => f.define(code));
    if (this.#isRail(positive)) this.#addCurrent(positive, draw!);
    if (this.#isRail(negative)) this.#addCurrent(negative, negate(back!));
  }

  #advanceRails(): void {
    const f = this.#f;
    const { rails, sampleRateHz } = this.#circuit;
    const { railCurrents, railElastances } = this.#memory;
    rails.forEach(({ node }, index) => {
      const current = this.#current(node) ?? double(0);
      const past = addressOf(railCurrents, 2 * index);
      const currents = [f.define(current), f.define(load(past)), f.define(load(past + 8))];
      const mean = sum(currents.map((amps, age) => multiply(amps, f.constant(RAIL_WEIGHTS[age]!))));
      const rate = multiply(load(addressOf(railElastances, index)), f.constant(1 / sampleRateHz));
      this.#setKnown(node, subtract(this.#read(node), multiply(mean, rate)));
      f.store(past + 8, currents[1]!);
      f.store(past, currents[0]!);
    });
  }
}
