import { OPAMP_STARTING_V } from '../../network/network.ts';
import { COUNTER } from '../block-memory.ts';
import { memoryPages, PAGE_BYTES, plainMemory } from '../circuit-memory.ts';
import { type CompiledCircuit, supplyDrawShare } from '../compiled-circuit.ts';
import { OPAMP } from '../parameters.ts';
import { writtenNodes } from '../substeps.ts';
import { BlockEmitter } from './emit-block.ts';
import { EXPONENTIAL_TABLE } from './emit-exponential.ts';
import { emitSubsteps } from './emit-substeps.ts';
import { encodeModule, FunctionBuilder } from './function-builder.ts';
import { blockStructures } from './structure.ts';
import {
  absolute,
  add,
  addInteger,
  addressOf,
  type Code,
  double,
  equal,
  get,
  integer,
  type Local,
  less,
  lessInteger,
  load,
  loadAt,
  maximum,
  multiply,
  negate,
  shiftLeft,
  subtract,
  subtractInteger,
  toDouble,
} from './wasm-code.ts';

const FROM = 0;
const TO = 1;

/** @see WebAssembly JavaScript Interface, implementation-defined limits: locals of a function */
const MOST_LOCALS = 50_000;

/**
 * A circuit's sample loop as a WebAssembly module: straight-line code over the memory of CircuitMemory, with
 * coefficients in memory, so that a changed value needs no new module. Off the audio thread; a few
 * milliseconds.
 *
 * @returns Undefined for a circuit so entangled that no engine would take the code; the interpreter runs it.
 */
export function emitCircuit(circuit: CompiledCircuit): Uint8Array | undefined {
  const run = new CircuitEmitter(circuit).emit();
  if (run.localCount > MOST_LOCALS) return undefined;
  return encodeModule(run, memoryPages(circuit) + 1, EXPONENTIAL_TABLE);
}

class CircuitEmitter {
  readonly #circuit: CompiledCircuit;
  readonly #memory;
  readonly #f;
  readonly #frame: Local;
  /** Known voltages in variables, by node index. */
  readonly #known = new Map<number, Local>();
  /** Of nodes that blocks of several steps write: their voltage at each step, before decimation. */
  readonly #stepVolts = new Map<number, readonly Local[]>();
  /** Currents out of metered nodes, by node index. */
  readonly #currents = new Map<number, Local>();

  constructor(circuit: CompiledCircuit) {
    this.#circuit = circuit;
    this.#memory = plainMemory(circuit);
    this.#f = new FunctionBuilder(2, memoryPages(circuit) * PAGE_BYTES);
    this.#frame = this.#f.newInteger();
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
    this.#loadKnown();
    const probed = f.define(load(probeBlock.byteOffset));
    f.set(this.#frame, get(FROM));
    f.loop(({ leaveIf, againIf }) => {
      leaveIf(lessInteger(get(TO), addInteger(get(this.#frame), integer(1))));
      const bytes = shiftLeft(get(this.#frame), integer(3));
      f.set(this.#known.get(inputIndex)!, loadAt(bytes, input.byteOffset));
      for (const local of this.#currents.values()) f.set(local, double(0));
      emitters.forEach((emitter, index) => {
        const block = blocks[index]!;
        const context = {
          known: (node: number) => this.#read(node),
          setKnown: (node: number, value: Code) => f.set(this.#known.get(node)!, value),
          addCurrent: (node: number, amps: Code) =>
            f.set(this.#currents.get(node)!, add(get(this.#currents.get(node)!), amps)),
          probe: (volts: Code) =>
            f.when(equal(probed, double(index)), () => f.storeAt(bytes, probe.byteOffset, volts)),
          fault: () => this.#leaveWithFault(index),
          stepVolts: (node: number) => this.#stepVolts.get(node)!,
        };
        if (block.substeps > 1) emitSubsteps(f, this.#circuit, block, emitter, context);
        else emitter.emit(context);
      });
      this.#advanceSupplies();
      f.storeAt(bytes, output.byteOffset, get(this.#known.get(outputIndex)!));
      f.set(this.#frame, addInteger(get(this.#frame), integer(1)));
      againIf(integer(1));
    });
    this.#storeKnown();
    this.#countFirstIterations(-1);
    f.returns(get(TO));
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
    for (const { out, positive, negative } of opamps)
      for (const node of [out, positive, negative]) nodes.add(node);
    nodes.delete(0);
    nodes.delete(unitIndex);
    for (const node of nodes) {
      const local = this.#f.newDouble();
      this.#known.set(node, local);
      this.#f.set(local, load(this.#memory.known.byteOffset + 8 * node));
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
    for (const { meteredNodes } of blocks) {
      for (const node of meteredNodes)
        if (!this.#currents.has(node)) this.#currents.set(node, this.#f.newDouble());
    }
    for (const node of [...rails.map(({ node }) => node), ...opamps.map(({ out }) => out)])
      if (!this.#currents.has(node)) this.#currents.set(node, this.#f.newDouble());
  }

  #storeKnown(): void {
    for (const [node, local] of this.#known)
      this.#f.store(this.#memory.known.byteOffset + 8 * node, get(local));
  }

  #leaveWithFault(block: number): void {
    this.#f.store(this.#memory.faultyBlock.byteOffset, double(block));
    this.#storeKnown();
    this.#countFirstIterations(block);
    this.#f.returns(get(this.#frame));
  }

  /** One iteration a step for each block with ports; up to the faulty one also for the sample that is left. */
  #countFirstIterations(faulty: number): void {
    const samples = this.#f.define(toDouble(subtractInteger(get(this.#frame), get(FROM))));
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

  #smoothed(local: Local, amps: Code): Code {
    const share = double(supplyDrawShare(this.#circuit));
    return add(get(local), multiply(share, subtract(amps, get(local))));
  }

  /** As CircuitSimulator's. */
  #advanceSupplies(): void {
    const f = this.#f;
    const { opamps, rails, sampleRateHz } = this.#circuit;
    const { parameters, railCurrents, railElastances } = this.#memory;
    const isRail = (node: number) => rails.some((rail) => rail.node === node);
    for (const { plus, minus, offset } of opamps) {
      const bias = load(parameters.byteOffset + 8 * (offset + OPAMP.inputBiasA));
      for (const local of [this.#currents.get(plus), this.#currents.get(minus)])
        if (local !== undefined) f.set(local, add(get(local), bias));
    }
    for (const { out, positive, negative, offset, drawIndex, returnIndex } of opamps) {
      const sourced = get(this.#currents.get(out)!);
      const between = multiply(
        double(1 / OPAMP_STARTING_V),
        subtract(this.#read(positive), this.#read(negative)),
      );
      const own = load(parameters.byteOffset + 8 * (offset + OPAMP.quiescentA));
      const quiescent = f.newDouble();
      f.set(quiescent, own);
      f.when(less(between, double(1)), () => f.set(quiescent, multiply(maximum(between, double(0)), own)));
      // Half of |i| + i is i where it is positive, else 0.
      const half = f.define(multiply(double(0.5), sourced));
      const draw = f.define(add(get(quiescent), add(absolute(half), half)));
      const back = f.define(add(get(quiescent), subtract(absolute(half), half)));
      const drawLocal = this.#known.get(drawIndex);
      if (drawLocal !== undefined) f.set(drawLocal, this.#smoothed(drawLocal, draw));
      const returnLocal = this.#known.get(returnIndex);
      if (returnLocal !== undefined) f.set(returnLocal, this.#smoothed(returnLocal, back));
      if (isRail(positive))
        f.set(this.#currents.get(positive)!, add(get(this.#currents.get(positive)!), draw));
      if (isRail(negative))
        f.set(this.#currents.get(negative)!, subtract(get(this.#currents.get(negative)!), back));
    }
    rails.forEach(({ node }, index) => {
      const into = f.define(negate(get(this.#currents.get(node)!)));
      const before = railCurrents.byteOffset + 8 * index;
      const mean = subtract(multiply(double(1.5), into), multiply(double(0.5), load(before)));
      const rate = multiply(double(1 / sampleRateHz), load(railElastances.byteOffset + 8 * index));
      f.set(this.#known.get(node)!, add(get(this.#known.get(node)!), multiply(rate, mean)));
      f.store(before, into);
    });
  }
}
