import { BlockSolver } from './block-solver.ts';
import type { CircuitMemory } from './circuit-memory.ts';
import type { CompiledCircuit } from './compiled-circuit.ts';
import {
  decimatorTaps,
  inputsWithin,
  interpolationWeights,
  MOST_SUBSTEPS,
  WITHIN,
  writtenNodes,
} from './substeps.ts';

/** A block that takes several steps a sample; see substeps.ts. Real-time safe but for the constructor. */
export class SubstepSolver extends BlockSolver {
  readonly #steps: number;
  readonly #taps: Float64Array;
  /** Three a step. */
  readonly #weights: Float64Array;
  /** Voltage of each node at each step of the sample, V. */
  readonly #stepVolts: Float64Array;
  readonly #rest: Float64Array;
  readonly #inputs: Int32Array;
  readonly #within: Int32Array;
  readonly #written: Int32Array;
  /** What stands in `known` for each input while it is overwritten. */
  readonly #kept: Float64Array;
  /** Takes the currents between samples, which nobody reads: the rails are advanced from those at samples. */
  readonly #unmetered: Float64Array;

  constructor(circuit: CompiledCircuit, index: number, memory: CircuitMemory) {
    super(circuit, index, memory);
    const block = circuit.blocks[index]!;
    this.#steps = block.substeps;
    this.#taps = Float64Array.from(decimatorTaps(block.substeps));
    this.#weights = Float64Array.from(interpolationWeights(block.substeps).flat());
    this.#stepVolts = memory.stepVolts;
    this.#rest = circuit.restVolts;
    this.#inputs = Int32Array.from(block.inputs);
    this.#within = Int32Array.from(inputsWithin(circuit, block));
    this.#written = Int32Array.from(writtenNodes(block));
    this.#kept = new Float64Array(block.inputs.length);
    this.#unmetered = new Float64Array(memory.nodeCurrents.length);
  }

  override reset(): void {
    super.reset();
    const { inputPast, writtenPast } = this.memory;
    const pasts = this.#steps + 1;
    for (let index = 0; index < this.#inputs.length; index++) {
      if (this.#within[index] !== WITHIN.smooth) continue;
      inputPast[2 * index] = this.#rest[this.#inputs[index]!]!;
      inputPast[2 * index + 1] = this.#rest[this.#inputs[index]!]!;
    }
    for (let index = 0; index < this.#written.length; index++) {
      const volts = this.#rest[this.#written[index]!]!;
      for (let past = 0; past < pasts; past++) writtenPast[pasts * index + past] = volts;
    }
  }

  override solve(known: Float64Array, nodeCurrents: Float64Array): boolean {
    for (let index = 0; index < this.#inputs.length; index++)
      this.#kept[index] = known[this.#inputs[index]!]!;
    let isSolved = true;
    for (let step = 0; isSolved && step < this.#steps; step++) {
      this.#moveInputs(known, step);
      isSolved = super.solve(known, step === this.#steps - 1 ? nodeCurrents : this.#unmetered);
      for (let index = 0; index < this.#written.length; index++) {
        const node = this.#written[index]!;
        this.#stepVolts[node * MOST_SUBSTEPS + step] = known[node]!;
      }
    }
    this.#restoreInputs(known);
    if (isSolved) this.#decimate(known);
    return isSolved;
  }

  #moveInputs(known: Float64Array, step: number): void {
    const { inputPast } = this.memory;
    const weights = this.#weights;
    for (let index = 0; index < this.#inputs.length; index++) {
      const node = this.#inputs[index]!;
      if (this.#within[index] === WITHIN.stepped) {
        known[node] = this.#stepVolts[node * MOST_SUBSTEPS + step]!;
      } else if (this.#within[index] === WITHIN.smooth) {
        known[node] =
          weights[3 * step]! * this.#kept[index]! +
          weights[3 * step + 1]! * inputPast[2 * index]! +
          weights[3 * step + 2]! * inputPast[2 * index + 1]!;
      }
    }
  }

  #restoreInputs(known: Float64Array): void {
    const { inputPast } = this.memory;
    for (let index = 0; index < this.#inputs.length; index++) {
      known[this.#inputs[index]!] = this.#kept[index]!;
      if (this.#within[index] !== WITHIN.smooth) continue;
      inputPast[2 * index + 1] = inputPast[2 * index]!;
      inputPast[2 * index] = this.#kept[index]!;
    }
  }

  #decimate(known: Float64Array): void {
    const { writtenPast } = this.memory;
    const steps = this.#steps;
    const pasts = steps + 1;
    for (let index = 0; index < this.#written.length; index++) {
      const node = this.#written[index]!;
      const at = pasts * index;
      let sum = 0;
      for (let ago = 0; ago < steps; ago++) {
        sum += this.#taps[ago]! * this.#stepVolts[node * MOST_SUBSTEPS + steps - 1 - ago]!;
      }
      for (let past = 0; past < pasts; past++) sum += this.#taps[steps + past]! * writtenPast[at + past]!;
      known[node] = sum;
      writtenPast[at + steps] = writtenPast[at]!;
      for (let ago = 0; ago < steps; ago++) {
        writtenPast[at + ago] = this.#stepVolts[node * MOST_SUBSTEPS + steps - 1 - ago]!;
      }
    }
  }
}
