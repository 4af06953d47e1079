import { OPAMP_STARTING_V } from '../network/network.ts';
import { COUNTER } from './block-memory.ts';
import { BlockSolver } from './block-solver.ts';
import { CHUNK_SAMPLES, type CircuitMemory, plainMemory } from './circuit-memory.ts';
import { type CompiledBlock, type CompiledCircuit, DEVICE, supplyDrawShare } from './compiled-circuit.ts';
import { type EmittedLoop, instantiateLoop } from './emit/emitted-loop.ts';
import { DIODE, OPAMP } from './parameters.ts';
import { SubstepSolver } from './substep-solver.ts';

/** A gliding value moves once in so many samples. */
const CONTROL_INTERVAL_SAMPLES = 64;

/**
 * A whole circuit in time, at the rate that it was compiled for: input volts in, output volts out.
 *
 * Within a sample the blocks are solved in order. The rails stand still meanwhile and are then advanced on
 * their capacitance by the second-order Adams-Bashforth step from the currents that the blocks drew,
 * v += T/C·(3/2·i_n − 1/2·i_(n−1)), so that no block needs to wait for another.
 *
 * Where the circuit brings its module, the same samples come from WebAssembly; without it from plain loops,
 * the reference.
 * `process` and `setParameters` are real-time safe.
 */
export class CircuitSimulator {
  readonly circuit: CompiledCircuit;
  readonly memory: CircuitMemory;
  readonly #emitted: EmittedLoop | undefined;
  readonly #blocks: readonly BlockSolver[];
  readonly #target: Float64Array;
  /** 1 where a number belongs to a block, blocks × numbers; and which blocks a control step touches. */
  readonly #uses: Uint8Array;
  readonly #dirty: Uint8Array;
  /** The block that has a node's voltage among its rows, by node; −1 where none has. */
  readonly #blockOf: Int32Array;
  /** The node that is probed, in its one entry; −1 for none. */
  readonly #probed = Int32Array.of(-1);
  readonly #stepS: number;
  readonly #drawShare: number;
  #controlStepsLeft = 0;
  #untilControl = 0;

  constructor(circuit: CompiledCircuit) {
    this.circuit = circuit;
    this.#emitted = circuit.module && instantiateLoop(circuit, circuit.module);
    this.memory = this.#emitted?.memory ?? plainMemory(circuit);
    this.memory.parameters.set(circuit.parameters);
    this.#target = Float64Array.from(circuit.parameters);
    this.#stepS = 1 / circuit.sampleRateHz;
    this.#drawShare = supplyDrawShare(circuit);
    this.#blocks = circuit.blocks.map(({ substeps }, index) =>
      substeps > 1
        ? new SubstepSolver(circuit, index, this.memory)
        : new BlockSolver(circuit, index, this.memory),
    );
    this.#uses = parameterUse(circuit);
    this.#dirty = new Uint8Array(circuit.blocks.length);
    this.#blockOf = probeBlocks(circuit);
    this.memory.probeBlock[0] = -1;
    this.reset();
  }

  /** Newton iterations of all blocks since the start. */
  get newtonIterations(): number {
    return this.#count(COUNTER.iterations);
  }

  /** Samples in which a block's Newton iteration did not converge, since the start. */
  get failures(): number {
    return this.#count(COUNTER.failures);
  }

  /** Times that a block was put at rest because a number was not finite, since the start. */
  get resets(): number {
    return this.#count(COUNTER.resets);
  }

  #count(counter: number): number {
    let sum = 0;
    for (let index = 0; index < this.#blocks.length; index++)
      sum += this.#blocks[index]!.memory.counters[counter]!;
    return sum;
  }

  /** Puts the whole circuit at the rest state that it was compiled with, with values as they stand. */
  reset(): void {
    const { circuit } = this;
    const { known, parameters, railCurrents } = this.memory;
    known.fill(0);
    known.set(circuit.restVolts);
    known[circuit.unitIndex] = 1;
    for (let index = 0; index < circuit.opamps.length; index++) {
      const { drawIndex, returnIndex, offset } = circuit.opamps[index]!;
      known[drawIndex] = parameters[offset + OPAMP.quiescentA]!;
      known[returnIndex] = parameters[offset + OPAMP.quiescentA]!;
    }
    railCurrents.fill(0);
    this.#applySources();
    for (let index = 0; index < this.#blocks.length; index++) this.#blocks[index]!.reset();
  }

  /**
   * Sets every number of the circuit; what differs glides there. Positive numbers glide geometrically,
   * others linearly. The structure must be the one that was compiled.
   *
   * @param target Same layout as `circuit.parameters`. Copied.
   * @param glideSeconds 0 sets them at the next sample.
   */
  setParameters(target: Float64Array, glideSeconds: number): void {
    this.#target.set(target);
    const steps = Math.round(glideSeconds / (CONTROL_INTERVAL_SAMPLES * this.#stepS));
    this.#controlStepsLeft = steps < 1 ? 1 : steps;
    this.#untilControl = 0;
  }

  /** True while values are still gliding. */
  get isGliding(): boolean {
    return this.#controlStepsLeft > 0;
  }

  /** Voltage of a node after the last sample, V; rails, op-amp outputs, the output and observed nets are kept. */
  voltage(nodeIndex: number): number {
    return this.memory.known[nodeIndex]!;
  }

  /**
   * Chooses the node whose voltage `process` gives beside the output, without compiling anew: it is one more
   * combination of what a block has solved. Real-time safe, takes microseconds.
   *
   * @param nodeIndex Among the circuit's node names; −1 for none.
   */
  probe(nodeIndex: number): void {
    this.#probed[0] = nodeIndex;
    const wanted = nodeIndex < 0 ? -1 : this.#blockOf[nodeIndex]!;
    this.memory.probeBlock[0] = wanted;
    for (let index = 0; index < this.#blocks.length; index++) {
      this.#blocks[index]!.probe(index === wanted ? nodeIndex : 0);
    }
  }

  /**
   * @param input Input voltage, V, length ≥ frames. @param output Output voltage, V. May be the same array.
   * @param probed Voltage of the probed node, V; 0 where none is. May be left out.
   */
  process(input: Float64Array, output: Float64Array, frames: number, probed?: Float64Array): void {
    let done = 0;
    while (done < frames) {
      if (this.#controlStepsLeft > 0 && this.#untilControl === 0) this.#control();
      let chunk = frames - done;
      if (chunk > CHUNK_SAMPLES) chunk = CHUNK_SAMPLES;
      if (this.#controlStepsLeft > 0) {
        if (chunk > this.#untilControl) chunk = this.#untilControl;
        this.#untilControl -= chunk;
      }
      this.#processChunk(input, output, done, chunk);
      if (probed) this.#copyProbe(probed, done, chunk);
      done += chunk;
    }
  }

  #processChunk(input: Float64Array, output: Float64Array, start: number, frames: number): void {
    const { memory } = this;
    for (let frame = 0; frame < frames; frame++) memory.input[frame] = input[start + frame]!;
    let from = 0;
    while (from < frames) {
      const reached = this.#emitted ? this.#emitted.run(from, frames) : this.#interpret(from, frames);
      if (reached < frames) {
        this.#blocks[memory.faultyBlock[0]!]!.recover(memory.known);
        memory.output[reached] = memory.known[this.circuit.outputIndex]!;
        if (this.#probed[0]! >= 0) memory.probe[reached] = this.circuit.restVolts[this.#probed[0]!]!;
      }
      from = reached + 1;
    }
    for (let index = 0; index < this.#blocks.length; index++) this.#blocks[index]!.flush();
    for (let frame = 0; frame < frames; frame++) output[start + frame] = memory.output[frame]!;
  }

  #copyProbe(probed: Float64Array, start: number, frames: number): void {
    const { probe, probeBlock, input, known } = this.memory;
    const node = this.#probed[0]!;
    for (let frame = 0; frame < frames; frame++) {
      // What no block reads is a constant supply, or the input of a circuit that is a wire.
      if (probeBlock[0]! >= 0) probed[start + frame] = probe[frame]!;
      else if (node === this.circuit.inputIndex) probed[start + frame] = input[frame]!;
      else probed[start + frame] = node < 0 ? 0 : known[node]!;
    }
  }

  #interpret(from: number, to: number): number {
    const { inputIndex, outputIndex } = this.circuit;
    const { input, output, probe, probeBlock, known, nodeCurrents, faultyBlock } = this.memory;
    const blocks = this.#blocks;
    for (let frame = from; frame < to; frame++) {
      known[inputIndex] = input[frame]!;
      nodeCurrents.fill(0);
      for (let index = 0; index < blocks.length; index++) {
        if (blocks[index]!.solve(known, nodeCurrents)) continue;
        faultyBlock[0] = index;
        return frame;
      }
      if (probeBlock[0]! >= 0) probe[frame] = blocks[probeBlock[0]!]!.probedVolts[0]!;
      this.#advanceSupplies();
      output[frame] = known[outputIndex]!;
    }
    return to;
  }

  #advanceSupplies(): void {
    const { opamps, rails } = this.circuit;
    const { known, nodeCurrents, parameters, railCurrents, railElastances } = this.memory;
    // What an input takes from a rail or another op-amp's output; elsewhere a block has it among its drains.
    for (let index = 0; index < opamps.length; index++) {
      const { plus, minus, offset } = opamps[index]!;
      const bias = parameters[offset + OPAMP.inputBiasA]!;
      nodeCurrents[plus]! += bias;
      nodeCurrents[minus]! += bias;
    }
    for (let index = 0; index < opamps.length; index++) {
      const { out, positive, negative, offset, drawIndex, returnIndex } = opamps[index]!;
      const sourced = nodeCurrents[out]!;
      let supplied = (known[positive]! - known[negative]!) / OPAMP_STARTING_V;
      if (supplied > 1) supplied = 1;
      if (supplied < 0) supplied = 0;
      const quiescent = supplied * parameters[offset + OPAMP.quiescentA]!;
      const draw = sourced > 0 ? quiescent + sourced : quiescent;
      const back = sourced < 0 ? quiescent - sourced : quiescent;
      // Read only where the supply is no rail; see SUPPLY_SMOOTHING_S.
      known[drawIndex]! += this.#drawShare * (draw - known[drawIndex]!);
      known[returnIndex]! += this.#drawShare * (back - known[returnIndex]!);
      nodeCurrents[positive]! += draw;
      nodeCurrents[negative]! -= back;
    }
    for (let index = 0; index < rails.length; index++) {
      const { node } = rails[index]!;
      const into = -nodeCurrents[node]!;
      const before = railCurrents[index]!;
      railCurrents[index] = into;
      known[node]! += this.#stepS * railElastances[index]! * (1.5 * into - 0.5 * before);
    }
  }

  /** Moves every gliding number one step and derives what depends on it. */
  #control(): void {
    this.#controlStepsLeft--;
    this.#untilControl = CONTROL_INTERVAL_SAMPLES;
    this.#markDirtyBlocks();
    const { parameters } = this.memory;
    const share = 1 / (this.#controlStepsLeft + 1);
    for (let index = 0; index < parameters.length; index++) {
      const from = parameters[index]!;
      const to = this.#target[index]!;
      if (from === to) continue;
      if (this.#controlStepsLeft === 0) parameters[index] = to;
      else if (from > 0 && to > 0) parameters[index] = from * (to / from) ** share;
      else parameters[index] = from + (to - from) * share;
    }
    this.#applySources();
    for (let block = 0; block < this.#blocks.length; block++) {
      this.#blocks[block]!.deriveDevices();
      if (this.#dirty[block] === 1) this.#blocks[block]!.update();
    }
  }

  #markDirtyBlocks(): void {
    const { parameters } = this.memory;
    const length = parameters.length;
    for (let block = 0; block < this.#blocks.length; block++) {
      let dirty = 0;
      for (let index = 0; index < length; index++) {
        if (this.#uses[block * length + index] === 1 && parameters[index] !== this.#target[index]) dirty = 1;
      }
      this.#dirty[block] = dirty;
    }
  }

  #applySources(): void {
    const { sources, rails } = this.circuit;
    const { known, parameters, railElastances } = this.memory;
    for (let index = 0; index < sources.length; index++) {
      known[sources[index]!.node] = parameters[sources[index]!.offset]!;
    }
    for (let index = 0; index < rails.length; index++) {
      const { capacitorOffsets } = rails[index]!;
      let farads = 0;
      for (let k = 0; k < capacitorOffsets.length; k++) farads += parameters[capacitorOffsets[k]!]!;
      railElastances[index] = 1 / farads;
    }
  }
}

/** The block that solves each node, else one that reads it, else −1. */
function probeBlocks({ blocks, nodeNames }: CompiledCircuit): Int32Array {
  const blockOf = new Int32Array(nodeNames.length).fill(-1);
  const claim = (nodes: readonly number[], block: number) => {
    for (const node of nodes) if (node > 0 && node < nodeNames.length) blockOf[node] = block;
  };
  blocks.forEach(({ inputs }, index) => {
    claim(inputs, index);
  });
  blocks.forEach(({ unknowns, devices }, index) => {
    claim([...unknowns, ...devices.map(({ outputNode }) => outputNode)], index);
  });
  return blockOf;
}

/** blocks × numbers: 1 where a block's coefficients depend on the number. */
function parameterUse(circuit: CompiledCircuit): Uint8Array {
  const length = circuit.parameters.length;
  const uses = new Uint8Array(circuit.blocks.length * length);
  circuit.blocks.forEach((block, index) => {
    for (const offset of coefficientOffsets(block)) uses[index * length + offset] = 1;
  });
  return uses;
}

/** Devices read their numbers in every sample, all but a diode's series resistance, which is in the rows. */
function coefficientOffsets(block: CompiledBlock): number[] {
  return [
    ...block.branches.map(({ offset }) => offset),
    ...block.states.flatMap(({ offsets }) => offsets),
    ...block.drains.map(({ offset }) => offset),
    ...block.devices
      .filter(({ code }) => code === DEVICE.diode)
      .map(({ offset }) => offset + DIODE.seriesOhms),
  ];
}
