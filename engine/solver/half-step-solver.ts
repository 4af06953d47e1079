import { BlockSolver } from './block-solver.ts';
import type { CircuitMemory } from './circuit-memory.ts';
import type { CompiledCircuit } from './compiled-circuit.ts';
import { DECIMATOR_TAPS, HALFWAY_TAPS, inputsWithin, WITHIN, writtenNodes } from './half-steps.ts';

const [END, MIDDLE, END_BEFORE, MIDDLE_BEFORE, END_EARLIER] = DECIMATOR_TAPS;
const [NOW, BEFORE, EARLIER] = HALFWAY_TAPS;

/** A block that takes two steps a sample; see half-steps.ts. Real-time safe but for the constructor. */
export class HalfStepSolver extends BlockSolver {
  readonly #circuitMemory: CircuitMemory;
  readonly #rest: Float64Array;
  readonly #inputs: Int32Array;
  readonly #within: Int32Array;
  readonly #written: Int32Array;
  /** What stands in `known` for each input while it is overwritten. */
  readonly #kept: Float64Array;
  /** Takes the currents half way, which nobody reads: the rails are advanced from those at samples. */
  readonly #unmetered: Float64Array;

  constructor(circuit: CompiledCircuit, index: number, memory: CircuitMemory) {
    super(circuit, index, memory);
    const block = circuit.blocks[index]!;
    this.#circuitMemory = memory;
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
    const { middles, ends } = this.#circuitMemory;
    for (let index = 0; index < this.#inputs.length; index++) {
      if (this.#within[index] !== WITHIN.smooth) continue;
      inputPast[2 * index] = this.#rest[this.#inputs[index]!]!;
      inputPast[2 * index + 1] = this.#rest[this.#inputs[index]!]!;
    }
    for (let index = 0; index < this.#written.length; index++) {
      const volts = this.#rest[this.#written[index]!]!;
      middles[this.#written[index]!] = volts;
      ends[this.#written[index]!] = volts;
      for (let past = 0; past < 3; past++) writtenPast[3 * index + past] = volts;
    }
  }

  override solve(known: Float64Array, nodeCurrents: Float64Array): boolean {
    this.#goToMiddle(known);
    let isSolved = super.solve(known, this.#unmetered);
    if (isSolved) {
      this.#goToEnd(known);
      isSolved = super.solve(known, nodeCurrents);
    }
    for (let index = 0; index < this.#inputs.length; index++) {
      known[this.#inputs[index]!] = this.#kept[index]!;
    }
    if (isSolved) this.#decimate(known);
    return isSolved;
  }

  #goToMiddle(known: Float64Array): void {
    const { inputPast } = this.memory;
    const { middles } = this.#circuitMemory;
    for (let index = 0; index < this.#inputs.length; index++) {
      const node = this.#inputs[index]!;
      const volts = known[node]!;
      this.#kept[index] = volts;
      if (this.#within[index] === WITHIN.stepped) {
        known[node] = middles[node]!;
      } else if (this.#within[index] === WITHIN.smooth) {
        const before = inputPast[2 * index]!;
        known[node] = NOW * volts + BEFORE * before + EARLIER * inputPast[2 * index + 1]!;
        inputPast[2 * index + 1] = before;
        inputPast[2 * index] = volts;
      }
    }
  }

  #goToEnd(known: Float64Array): void {
    const { middles, ends } = this.#circuitMemory;
    for (let index = 0; index < this.#written.length; index++) {
      middles[this.#written[index]!] = known[this.#written[index]!]!;
    }
    for (let index = 0; index < this.#inputs.length; index++) {
      const node = this.#inputs[index]!;
      known[node] = this.#within[index] === WITHIN.stepped ? ends[node]! : this.#kept[index]!;
    }
  }

  #decimate(known: Float64Array): void {
    const { writtenPast } = this.memory;
    const { middles, ends } = this.#circuitMemory;
    for (let index = 0; index < this.#written.length; index++) {
      const node = this.#written[index]!;
      const at = 3 * index;
      const end = known[node]!;
      ends[node] = end;
      known[node] =
        END * end +
        MIDDLE * middles[node]! +
        END_BEFORE * writtenPast[at]! +
        MIDDLE_BEFORE * writtenPast[at + 1]! +
        END_EARLIER * writtenPast[at + 2]!;
      writtenPast[at + 2] = writtenPast[at]!;
      writtenPast[at + 1] = middles[node]!;
      writtenPast[at] = end;
    }
  }
}
