import { type Code, type Operation, STEPS_PER_OCTAVE } from './expression.ts';
import type { FunctionBuilder, Statement } from './function-builder.ts';
import { doubleBytes, type FunctionBody, signed, TYPE, unsigned } from './wasm-module.ts';

const OPCODES: Partial<Record<Operation, readonly number[]>> = {
  add: [0xa0],
  subtract: [0xa1],
  multiply: [0xa2],
  divide: [0xa3],
  minimum: [0xa4],
  maximum: [0xa5],
  absolute: [0x99],
  negate: [0x9a],
  squareRoot: [0x9f],
  equal: [0x61],
  less: [0x63],
  greater: [0x64],
  greaterOrEqual: [0x66],
  both: [0x71],
  either: [0x72],
  not: [0x45],
  select: [0x1b],
  addInteger: [0x6a],
  subtractInteger: [0x6b],
  lessInteger: [0x48],
  shiftLeft: [0x74],
  toDouble: [0xb7],
};

/** The function as WebAssembly for one circuit: doubles are f64. */
export function singleCode(f: FunctionBuilder): FunctionBody {
  const writer = new SingleWriter();
  writer.write(f.statements);
  return {
    localTypes: f.locals.map(({ kind }) => TYPE[kind]),
    code: writer.code,
  };
}

class SingleWriter {
  readonly code: number[] = [];

  write(statements: readonly Statement[]): void {
    for (const statement of statements) this.#writeStatement(statement);
  }

  #writeStatement(statement: Statement): void {
    const { code } = this;
    switch (statement.kind) {
      case 'declare':
      case 'set':
        this.#value(statement.value);
        code.push(0x21, ...unsigned(statement.local.index));
        return;
      case 'store':
        this.#value(statement.bytes);
        this.#value(statement.value);
        code.push(0x39, 3, ...unsigned(statement.address));
        return;
      case 'when':
        this.#value(statement.condition);
        code.push(0x04, TYPE.none);
        this.write(statement.whenTrue);
        if (statement.whenFalse.length > 0) code.push(0x05);
        this.write(statement.whenFalse);
        code.push(0x0b);
        return;
      case 'loop':
        // A block (to leave) around a loop (to repeat).
        code.push(0x02, TYPE.none, 0x03, TYPE.none);
        this.write(statement.body);
        code.push(0x0b, 0x0b);
        return;
      case 'leaveIf':
      case 'againIf':
        this.#value(statement.condition);
        code.push(0x0d, statement.kind === 'leaveIf' ? 1 : 0);
        return;
      case 'return':
        this.#value(statement.value);
        code.push(0x0f);
    }
  }

  #value({ op, args, number, local }: Code): void {
    const { code } = this;
    for (const arg of args) this.#value(arg);
    switch (op) {
      case 'double':
        code.push(0x44, ...doubleBytes(number));
        return;
      case 'integer':
        code.push(0x41, ...signed(number));
        return;
      case 'get':
        code.push(0x20, ...unsigned(local!.index));
        return;
      case 'load':
        code.push(0x2b, 3, ...unsigned(number));
        return;
      case 'call':
        code.push(0x10, ...unsigned(number));
        return;
      case 'tablePower':
        this.#tablePower(args[0]!, number);
        return;
      default:
        code.push(...OPCODES[op]!);
    }
  }

  /** With the argument on the stack. */
  #tablePower(shifted: Code, address: number): void {
    const stepBits = Math.log2(STEPS_PER_OCTAVE);
    // The octaves, in the bits of the exponent: ((bits >>> 6) << 52).
    this.code.push(0xbd, 0x42, ...signed(stepBits), 0x88, 0x42, ...signed(52), 0x86);
    // The entry at 8·(bits & 63).
    this.#value(shifted);
    this.code.push(0xbd, 0xa7, 0x41, ...signed(STEPS_PER_OCTAVE - 1), 0x71, 0x41, 3, 0x74);
    this.code.push(0x29, 3, ...unsigned(address), 0x7c, 0xbf);
  }
}
