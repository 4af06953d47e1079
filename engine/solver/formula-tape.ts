import type { Formula } from '../devices/formula.ts';
import { emitFormulas } from './emit/emit-formula.ts';
import { load } from './emit/expression.ts';
import { FunctionBuilder } from './emit/function-builder.ts';
import { tapeCode } from './emit/tape-code.ts';
import { loadTape, runTape, type Tape } from './tape.ts';

const BYTES = Float64Array.BYTES_PER_ELEMENT;

/** Formulas evaluated with numbers. The constructor allocates; `run` is real-time safe. */
export class FormulaTape {
  /** Values of the inputs, in the order of their names; set them before `run`. */
  readonly inputs: Float64Array;
  /** Values of the formulas, in their order, after `run`. */
  readonly outputs: Float64Array;
  readonly #tape: Tape;
  readonly #numbers: Float64Array;
  readonly #parameterCount: number;

  /** @param inputs Names of the changing values in the formulas. @param parameters Names of a device's numbers. */
  constructor(formulas: readonly Formula[], inputs: readonly string[], parameters: readonly string[]) {
    const firstInput = parameters.length;
    const firstOutput = firstInput + inputs.length;
    const end = firstOutput + formulas.length;
    const f = new FunctionBuilder(2, BYTES * end);
    const codes = Object.fromEntries(inputs.map((name, index) => [name, load(BYTES * (firstInput + index))]));
    const given = Object.fromEntries(parameters.map((name, index) => [name, load(BYTES * index)]));
    const values = emitFormulas(f, formulas, { ...codes, ...given }, undefined);
    values.forEach((value, index) => {
      f.store(BYTES * (firstOutput + index), value);
    });
    this.#tape = tapeCode(f);
    this.#numbers = new Float64Array(this.#tape.size);
    loadTape(this.#tape, this.#numbers);
    this.inputs = this.#numbers.subarray(firstInput, firstOutput);
    this.outputs = this.#numbers.subarray(firstOutput, end);
    this.#parameterCount = parameters.length;
  }

  /** @param offset Index of the device's first number. */
  run(parameters: Float64Array, offset: number): void {
    for (let index = 0; index < this.#parameterCount; index++) {
      this.#numbers[index] = parameters[offset + index]!;
    }
    runTape(this.#tape, this.#numbers, 0, 0);
  }
}
