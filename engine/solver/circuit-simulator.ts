import { BlockSolver } from './block-solver.ts';
import { type CompiledBlock, type CompiledCircuit, DEVICE } from './compiled-circuit.ts';
import { DIODE, OPAMP } from './parameters.ts';

/** A gliding value moves once in so many samples. */
const CONTROL_INTERVAL_SAMPLES = 64;

/**
 * A whole circuit in time, at the rate that it was compiled for: input volts in, output volts out.
 *
 * Within a sample the blocks are solved in order. The rails stand still meanwhile and are then advanced on
 * their capacitance by the second-order Adams-Bashforth step from the currents that the blocks drew,
 * v += T/C·(3/2·i_n − 1/2·i_(n−1)), so that no block needs to wait for another.
 *
 * `process` and `setParameters` are real-time safe.
 */
export class CircuitSimulator {
  readonly circuit: CompiledCircuit;
  readonly #blocks: BlockSolver[];
  readonly #parameters: Float64Array;
  readonly #target: Float64Array;
  readonly #known: Float64Array;
  readonly #nodeCurrents: Float64Array;
  readonly #railCurrents: Float64Array;
  readonly #railElastances: Float64Array;
  /** 1 where a number belongs to a block, blocks × numbers; and which blocks a control step touches. */
  readonly #uses: Uint8Array;
  readonly #dirty: Uint8Array;
  readonly #stepS: number;
  #glideStepsLeft = 0;
  #untilControl = 0;

  constructor(circuit: CompiledCircuit) {
    this.circuit = circuit;
    this.#parameters = Float64Array.from(circuit.parameters);
    this.#target = Float64Array.from(circuit.parameters);
    this.#stepS = 1 / circuit.sampleRateHz;
    const knownCount = circuit.unitIndex + 1 + 2 * circuit.opamps.length;
    this.#known = new Float64Array(knownCount);
    this.#nodeCurrents = new Float64Array(knownCount);
    this.#railCurrents = new Float64Array(circuit.rails.length);
    this.#railElastances = new Float64Array(circuit.rails.length);
    this.#blocks = circuit.blocks.map((block) => new BlockSolver(circuit, block, this.#parameters));
    this.#uses = parameterUse(circuit);
    this.#dirty = new Uint8Array(circuit.blocks.length);
    this.reset();
  }

  /** Newton iterations of all blocks since the start. */
  get newtonIterations(): number {
    let sum = 0;
    for (let index = 0; index < this.#blocks.length; index++) sum += this.#blocks[index]!.newton.iterations;
    return sum;
  }

  /** Samples in which a block's Newton iteration did not converge, since the start. */
  get failures(): number {
    let sum = 0;
    for (let index = 0; index < this.#blocks.length; index++) sum += this.#blocks[index]!.newton.failures;
    return sum;
  }

  /** Times that a block was put at rest because a number was not finite, since the start. */
  get resets(): number {
    let sum = 0;
    for (let index = 0; index < this.#blocks.length; index++) sum += this.#blocks[index]!.resets;
    return sum;
  }

  /** Puts the whole circuit at its rest state, with values as they stand. */
  reset(): void {
    const { circuit } = this;
    this.#known.fill(0);
    this.#known.set(circuit.restVolts);
    this.#known[circuit.unitIndex] = 1;
    for (let index = 0; index < circuit.opamps.length; index++) {
      const { drawIndex, returnIndex, offset } = circuit.opamps[index]!;
      this.#known[drawIndex] = this.#parameters[offset + OPAMP.quiescentA]!;
      this.#known[returnIndex] = this.#parameters[offset + OPAMP.quiescentA]!;
    }
    this.#railCurrents.fill(0);
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
    this.#glideStepsLeft = steps < 1 ? 1 : steps;
    this.#untilControl = 0;
  }

  /** True while values are still gliding. */
  get isGliding(): boolean {
    return this.#glideStepsLeft > 0;
  }

  /** Voltage of a node in the last sample, V; rails, op-amp outputs, the output and observed nets are current. */
  voltage(nodeIndex: number): number {
    return this.#known[nodeIndex]!;
  }

  /**
   * @param input Input voltage, V, length ≥ frames. @param output Output voltage, V. May be the same array.
   */
  process(input: Float64Array, output: Float64Array, frames: number): void {
    const { inputIndex, outputIndex } = this.circuit;
    const known = this.#known;
    const nodeCurrents = this.#nodeCurrents;
    const blocks = this.#blocks;
    const blockCount = blocks.length;
    for (let frame = 0; frame < frames; frame++) {
      if (this.#glideStepsLeft > 0) this.#control();
      known[inputIndex] = input[frame]!;
      nodeCurrents.fill(0);
      for (let index = 0; index < blockCount; index++) blocks[index]!.solve(known, nodeCurrents);
      this.#advanceSupplies();
      output[frame] = known[outputIndex]!;
    }
  }

  #advanceSupplies(): void {
    const { opamps, rails } = this.circuit;
    const known = this.#known;
    const currents = this.#nodeCurrents;
    for (let index = 0; index < opamps.length; index++) {
      const { out, positive, negative, offset, drawIndex, returnIndex } = opamps[index]!;
      const sourced = currents[out]!;
      const quiescent = this.#parameters[offset + OPAMP.quiescentA]!;
      const draw = sourced > 0 ? quiescent + sourced : quiescent;
      const back = sourced < 0 ? quiescent - sourced : quiescent;
      known[drawIndex] = draw;
      known[returnIndex] = back;
      currents[positive]! += draw;
      currents[negative]! -= back;
    }
    for (let index = 0; index < rails.length; index++) {
      const { node } = rails[index]!;
      const into = -currents[node]!;
      const before = this.#railCurrents[index]!;
      this.#railCurrents[index] = into;
      known[node]! += this.#stepS * this.#railElastances[index]! * (1.5 * into - 0.5 * before);
    }
  }

  #control(): void {
    if (this.#untilControl > 0) {
      this.#untilControl--;
      return;
    }
    this.#untilControl = CONTROL_INTERVAL_SAMPLES - 1;
    const parameters = this.#parameters;
    const target = this.#target;
    const blockCount = this.#blocks.length;
    const length = parameters.length;
    const share = 1 / this.#glideStepsLeft;
    this.#glideStepsLeft--;
    for (let block = 0; block < blockCount; block++) {
      for (let index = 0; index < length; index++) {
        if (parameters[index] !== target[index] && this.#uses[block * length + index] === 1) {
          this.#dirty[block] = 1;
          break;
        }
      }
    }
    for (let index = 0; index < length; index++) {
      const from = parameters[index]!;
      const to = target[index]!;
      if (from === to) continue;
      if (this.#glideStepsLeft === 0) parameters[index] = to;
      else if (from > 0 && to > 0) parameters[index] = from * (to / from) ** share;
      else parameters[index] = from + (to - from) * share;
    }
    this.#applySources();
    for (let block = 0; block < blockCount; block++) {
      if (this.#dirty[block] === 1) this.#blocks[block]!.update();
      this.#dirty[block] = 0;
    }
  }

  #applySources(): void {
    const { sources, rails } = this.circuit;
    for (let index = 0; index < sources.length; index++) {
      this.#known[sources[index]!.node] = this.#parameters[sources[index]!.offset]!;
    }
    for (let index = 0; index < rails.length; index++) {
      const { capacitorOffsets } = rails[index]!;
      let farads = 0;
      for (let k = 0; k < capacitorOffsets.length; k++) farads += this.#parameters[capacitorOffsets[k]!]!;
      this.#railElastances[index] = 1 / farads;
    }
  }
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
    ...block.resistors.map(({ offset }) => offset),
    ...block.states.flatMap(({ offsets }) => offsets),
    ...block.drains.map(({ offset }) => offset),
    ...block.devices.filter(({ code }) => code === DEVICE.diode).map(({ offset }) => offset + DIODE.seriesOhms),
  ];
}
