import { type Code, type Local, type Operation, STEPS_PER_OCTAVE } from './expression.ts';
import type { Statement } from './function-builder.ts';
import type { Outline, OutlinedFunction, Place } from './outline.ts';
import { doubleBytes, FIRST_SEGMENT, type FunctionBody, signed, TYPE, unsigned } from './wasm-module.ts';

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

/** The functions as WebAssembly for one circuit: doubles are f64. */
export function singleCode(functions: Outline): readonly FunctionBody[] {
  return functions.map((own, index) => {
    const writer = new SingleWriter(own);
    writer.write(own.statements);
    if (index > 0) writer.code.push(0x41, ...signed(-1));
    return { localTypes: writer.localTypes, code: writer.code };
  });
}

class SingleWriter {
  readonly code: number[] = [];
  readonly localTypes: number[];
  readonly #places: OutlinedFunction['places'];
  /** What a segment returns. */
  #result: number | undefined;

  constructor({ places, ownKinds, loaded }: OutlinedFunction) {
    this.#places = places;
    this.localTypes = ownKinds.map((kind) => TYPE[kind]);
    for (const { index, address } of loaded) {
      this.#load(address);
      this.code.push(0x21, ...unsigned(index));
    }
  }

  write(statements: readonly Statement[]): void {
    for (const statement of statements) this.#writeStatement(statement);
  }

  #writeStatement(statement: Statement): void {
    const { code } = this;
    switch (statement.kind) {
      case 'declare':
      case 'set':
        this.#set(statement.local, statement.value);
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
        return;
      case 'segment':
        this.#segment(statement.index);
        return;
      case 'cut':
    }
  }

  #set(local: Local, value: Code): void {
    const { code } = this;
    const place = this.#place(local);
    if (place.kind === 'memory') {
      code.push(0x41, 0);
      this.#value(value);
      code.push(0x39, 3, ...unsigned(place.address));
      return;
    }
    this.#value(value);
    code.push(0x21, ...unsigned(place.index));
    if (place.kind === 'both')
      code.push(0x41, 0, 0x20, ...unsigned(place.index), 0x39, 3, ...unsigned(place.address));
  }

  /** Called with the first parameter and the frame, which is the first integer of the main function. */
  #segment(index: number): void {
    this.#result ??= 2 + this.localTypes.push(TYPE.integer) - 1;
    const result = unsigned(this.#result);
    this.code.push(0x20, 0, 0x20, ...unsigned(this.#frame), 0x10, ...unsigned(FIRST_SEGMENT + index));
    this.code.push(0x22, ...result, 0x41, 0, 0x4e, 0x04, TYPE.none, 0x20, ...result, 0x0f, 0x0b);
  }

  get #frame(): number {
    return 2 + this.localTypes.indexOf(TYPE.integer);
  }

  #place({ index }: Local): Place {
    return this.#places[index]!;
  }

  #load(address: number): void {
    this.code.push(0x41, 0, 0x2b, 3, ...unsigned(address));
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
        this.#get(local!);
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

  #get(local: Local): void {
    const place = this.#place(local);
    if (place.kind === 'memory') this.#load(place.address);
    else this.code.push(0x20, ...unsigned(place.index));
  }

  /** With the argument on the stack. */
  #tablePower(shifted: Code, address: number): void {
    const stepBits = Math.log2(STEPS_PER_OCTAVE);
    // The octaves, in the bits of the exponent: ((bits >>> 9) << 52).
    this.code.push(0xbd, 0x42, ...signed(stepBits), 0x88, 0x42, ...signed(52), 0x86);
    // The entry at 8·(bits & 511).
    this.#value(shifted);
    this.code.push(0xbd, 0xa7, 0x41, ...signed(STEPS_PER_OCTAVE - 1), 0x71, 0x41, 3, 0x74);
    this.code.push(0x29, 3, ...unsigned(address), 0x7c, 0xbf);
  }
}
