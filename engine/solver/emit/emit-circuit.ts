import { OPAMP_STARTING_V } from '../../network/network.ts';
import { memoryPages, plainMemory } from '../circuit-memory.ts';
import { type CompiledCircuit, supplyDrawShare } from '../compiled-circuit.ts';
import { OPAMP } from '../parameters.ts';
import { BlockEmitter } from './emit-block.ts';
import { encodeModule, FunctionBuilder } from './function-builder.ts';
import { blockStructures } from './structure.ts';
import {
  add,
  addInteger,
  type Code,
  double,
  equal,
  get,
  integer,
  type Local,
  lessInteger,
  load,
  loadAt,
  maximum,
  minimum,
  multiply,
  negate,
  shiftLeft,
  subtract,
} from './wasm-code.ts';

const FROM = 0;
const TO = 1;

/**
 * A circuit's sample loop as a WebAssembly module: straight-line code over the memory of CircuitMemory, with
 * coefficients in memory, so that a changed value needs no new module. Off the audio thread; a few
 * milliseconds.
 */
export function emitCircuit(circuit: CompiledCircuit): Uint8Array {
  return encodeModule(new CircuitEmitter(circuit).emit(), memoryPages(circuit));
}

class CircuitEmitter {
  readonly #circuit: CompiledCircuit;
  readonly #memory;
  readonly #f = new FunctionBuilder(2);
  readonly #frame: Local;
  /** Known voltages in variables, by node index. */
  readonly #known = new Map<number, Local>();
  /** Currents out of metered nodes, by node index. */
  readonly #currents = new Map<number, Local>();

  constructor(circuit: CompiledCircuit) {
    this.#circuit = circuit;
    this.#memory = plainMemory(circuit);
    this.#frame = this.#f.newInteger();
  }

  emit(): FunctionBuilder {
    const f = this.#f;
    const { blocks, inputIndex, outputIndex } = this.#circuit;
    const { input, output, probe, probeBlock, parameters } = this.#memory;
    const structures = blockStructures(this.#circuit);
    const emitters = blocks.map(
      (block, index) =>
        new BlockEmitter(
          f,
          this.#circuit,
          block,
          this.#memory.blocks[index]!,
          structures[index]!,
          parameters.byteOffset,
        ),
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
        emitter.emit({
          known: (node) => this.#read(node),
          setKnown: (node, value) => f.set(this.#known.get(node)!, value),
          addCurrent: (node, amps) =>
            f.set(this.#currents.get(node)!, add(get(this.#currents.get(node)!), amps)),
          probe: (volts) =>
            f.when(equal(probed, double(index)), () => f.storeAt(bytes, probe.byteOffset, volts)),
          fault: () => this.#leaveWithFault(index),
        });
      });
      this.#advanceSupplies();
      f.storeAt(bytes, output.byteOffset, get(this.#known.get(outputIndex)!));
      f.set(this.#frame, addInteger(get(this.#frame), integer(1)));
      againIf(integer(1));
    });
    this.#storeKnown();
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
    this.#f.returns(get(this.#frame));
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
      const supplied = maximum(minimum(between, double(1)), double(0));
      const own = load(parameters.byteOffset + 8 * (offset + OPAMP.quiescentA));
      const quiescent = f.define(multiply(supplied, own));
      const draw = f.define(add(quiescent, maximum(sourced, double(0))));
      const back = f.define(add(quiescent, maximum(negate(sourced), double(0))));
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
