import { OPERATION, type Tape } from '../tape.ts';
import type { Code, Operation } from './expression.ts';
import type { FunctionBuilder, Statement } from './function-builder.ts';

const OPERATIONS: Partial<Record<Operation, number>> = {
  add: OPERATION.add,
  subtract: OPERATION.subtract,
  multiply: OPERATION.multiply,
  divide: OPERATION.divide,
  minimum: OPERATION.minimum,
  maximum: OPERATION.maximum,
  absolute: OPERATION.absolute,
  negate: OPERATION.negate,
  squareRoot: OPERATION.squareRoot,
  equal: OPERATION.equal,
  less: OPERATION.less,
  greater: OPERATION.greater,
  greaterOrEqual: OPERATION.greaterOrEqual,
  both: OPERATION.both,
  either: OPERATION.either,
  not: OPERATION.not,
  select: OPERATION.select,
  addInteger: OPERATION.add,
  subtractInteger: OPERATION.subtract,
  lessInteger: OPERATION.less,
  call: OPERATION.logarithm,
};

const BYTES = Float64Array.BYTES_PER_ELEMENT;

/** The function as a tape: the back end for plain numbers, with the arithmetic of `singleCode` to the bit. */
export function tapeCode(f: FunctionBuilder): Tape {
  const writer = new TapeWriter(f);
  writer.write(f.statements, []);
  const constantsStart = f.constantsAddress / BYTES;
  const registersStart = constantsStart + f.constants.length;
  return {
    // Registers follow the constants, whose number is known only now.
    code: Int32Array.from(writer.code, (entry) => (entry < 0 ? registersStart - 1 - entry : entry)),
    constants: Float64Array.from(f.constants),
    constantsStart,
    registersStart,
    size: registersStart + writer.registerCount,
  };
}

/** Positions of jumps out of a loop whose target is not known yet. */
type LoopExits = number[];

class TapeWriter {
  /** A negative entry −1 − r is register r. */
  readonly code: number[] = [];
  registerCount: number;
  readonly #f: FunctionBuilder;
  readonly #firstFree: number;
  #free: number;

  constructor(f: FunctionBuilder) {
    this.#f = f;
    this.#firstFree = f.parameters.length + f.locals.length;
    this.#free = this.#firstFree;
    this.registerCount = this.#firstFree;
  }

  write(statements: readonly Statement[], exits: LoopExits, loopStart = 0): void {
    for (const statement of statements) {
      this.#free = this.#firstFree;
      this.#writeStatement(statement, exits, loopStart);
    }
  }

  #writeStatement(statement: Statement, exits: LoopExits, loopStart: number): void {
    const { code } = this;
    switch (statement.kind) {
      case 'declare':
      case 'set':
        this.#valueInto(statement.value, register(statement.local.index));
        return;
      case 'store':
        this.#store(statement);
        return;
      case 'when':
        this.#when(statement);
        return;
      case 'loop':
        this.#loop(statement.body);
        return;
      case 'leaveIf':
        code.push(OPERATION.jumpIf, this.#value(statement.condition), 0);
        exits.push(code.length - 1);
        return;
      case 'againIf':
        code.push(OPERATION.jumpIf, this.#value(statement.condition), loopStart);
        return;
      case 'cut':
        return;
      case 'segment':
        throw new TypeError('a tape is one piece');
      case 'return':
        code.push(OPERATION.return, this.#value(statement.value));
    }
  }

  #store({ bytes, address, value }: Statement & { kind: 'store' }): void {
    if (bytes.op === 'integer') this.#valueInto(value, (bytes.number + address) / BYTES);
    else this.code.push(OPERATION.storeAt, this.#value(bytes), address / BYTES, this.#value(value));
  }

  #when({ condition, whenTrue, whenFalse }: Statement & { kind: 'when' }): void {
    const { code } = this;
    code.push(OPERATION.jumpUnless, this.#value(condition), 0);
    const toOtherwise = code.length - 1;
    this.write(whenTrue, []);
    if (whenFalse.length > 0) {
      code.push(OPERATION.jump, 0);
      const toEnd = code.length - 1;
      code[toOtherwise] = code.length;
      this.write(whenFalse, []);
      code[toEnd] = code.length;
    } else code[toOtherwise] = code.length;
  }

  #loop(body: readonly Statement[]): void {
    const exits: LoopExits = [];
    this.write(body, exits, this.code.length);
    for (const exit of exits) this.code[exit] = this.code.length;
  }

  /** Index of a value; it is computed into a free register unless it is stored already. */
  #value(value: Code): number {
    const { op, args, number, local } = value;
    if (op === 'get') return register(local!.index);
    if (op === 'load' && args[0]!.op === 'integer') return (args[0]!.number + number) / BYTES;
    if (op === 'double' || op === 'integer') return this.#constant(number);
    if (op === 'toDouble') return this.#value(args[0]!);
    const to = register(this.#free++);
    this.registerCount = Math.max(this.registerCount, this.#free);
    this.#valueInto(value, to);
    return to;
  }

  #valueInto(value: Code, to: number): void {
    const { op, args, number } = value;
    const { code } = this;
    switch (op) {
      case 'get':
      case 'double':
      case 'integer':
      case 'toDouble':
        code.push(OPERATION.copy, to, this.#value(value));
        return;
      case 'load':
        if (args[0]!.op === 'integer') code.push(OPERATION.copy, to, this.#value(value));
        else code.push(OPERATION.loadAt, to, this.#value(args[0]!), number / BYTES);
        return;
      case 'tablePower':
        code.push(OPERATION.tablePower, to, this.#value(args[0]!), number / BYTES);
        return;
      case 'shiftLeft': {
        const factor = this.#constant(2 ** args[1]!.number);
        code.push(OPERATION.multiply, to, this.#value(args[0]!), factor);
        return;
      }
      default: {
        const places = args.map((arg) => this.#value(arg));
        code.push(OPERATIONS[op]!, to, ...places);
      }
    }
  }

  /** Index of a constant. */
  #constant(value: number): number {
    return this.#f.constant(value).number / BYTES;
  }
}

const register = (index: number): number => -1 - index;
