import { type Code, type Local, type Operation, STEPS_PER_OCTAVE } from './expression.ts';
import type { FunctionBuilder, Statement } from './function-builder.ts';
import type { Outline, OutlinedFunction, Place } from './outline.ts';
import { FIRST_SEGMENT, type FunctionBody, signed, TYPE, unsigned } from './wasm-module.ts';

/** Opcodes after the prefix 0xfd. */
const OPCODES: Partial<Record<Operation, number>> = {
  add: 0xf0,
  subtract: 0xf1,
  multiply: 0xf2,
  divide: 0xf3,
  minimum: 0xf6,
  maximum: 0xf7,
  absolute: 0xec,
  negate: 0xed,
  squareRoot: 0xef,
  equal: 0x47,
  less: 0x49,
  greater: 0x4a,
  greaterOrEqual: 0x4c,
  not: 0x4d,
  both: 0x4e,
  either: 0x50,
  select: 0x52,
};
const INTEGER_OPCODES: Partial<Record<Operation, number>> = {
  addInteger: 0x6a,
  subtractInteger: 0x6b,
  lessInteger: 0x48,
  shiftLeft: 0x74,
};
const LANES = {
  load: 0x00,
  store: 0x0b,
  constant: 0x0c,
  splat: 0x14,
  extractInteger: 0x1b,
  extract: 0x21,
  replace: 0x22,
  and: 0x4e,
  andNot: 0x4f,
  select: 0x52,
  loadLane: 0x57,
  loadFirst: 0x5d,
  signs: 0xc4,
  shiftLeftLong: 0xcb,
  shiftRightLong: 0xcd,
  addLong: 0xce,
} as const;
const BOTH_SIGNS = 3;
/** A vector has 16 bytes: a number at address p of one circuit is at 2p in a pair, both numbers together. */
const ALIGNMENT = 4;

/**
 * The functions as WebAssembly for two circuits of one structure that run in step: doubles are f64x2, A in the first lane
 * and B in the second, over memory in which the numbers of both alternate. If both circuits agree on a branch,
 * it is taken. If they do not, both ways run one after the other, and each sets only the values of its own
 * circuit.
 *
 * If a number is not finite it returns early, for both; the memory is then not consistent.
 */
export function pairedCode(f: FunctionBuilder, functions: Outline): readonly FunctionBody[] {
  return functions.map((own, index) => {
    const writer = new PairWriter(f, own);
    writer.write(own.statements, undefined);
    if (index > 0) writer.code.push(0x41, ...signed(-1));
    return { localTypes: writer.localTypes, code: writer.code };
  });
}

class PairWriter {
  readonly code: number[] = [];
  readonly localTypes: number[];
  readonly #f: FunctionBuilder;
  readonly #places: OutlinedFunction['places'];
  /** What a segment returns. */
  #result: number | undefined;
  /** A temporary vector for a value that is read twice. */
  readonly #scratch: number;

  constructor(f: FunctionBuilder, { places, ownKinds, loaded }: OutlinedFunction) {
    this.#f = f;
    this.#places = places;
    this.localTypes = ownKinds.map((kind) => (kind === 'double' ? TYPE.vector : TYPE.integer));
    this.#scratch = this.#newVector();
    for (const { index, address } of loaded) {
      this.#loadShared(address);
      this.#setLocal(index);
    }
  }

  /** @param mask Variable with the circuits of the statements; undefined for both. */
  write(statements: readonly Statement[], mask: number | undefined): void {
    for (const statement of statements) this.#writeStatement(statement, mask);
  }

  #writeStatement(statement: Statement, mask: number | undefined): void {
    switch (statement.kind) {
      case 'declare':
        // For both, whatever the mask, so that the old value need not be kept.
        this.#set(statement.local, statement.value, undefined);
        return;
      case 'set':
        this.#set(statement.local, statement.value, mask);
        return;
      case 'store':
        this.#store(statement, mask);
        return;
      case 'when':
        this.#when(statement, mask);
        return;
      case 'loop':
        this.#loop(statement.body, mask);
        return;
      case 'leaveIf':
      case 'againIf':
        this.#value(statement.condition);
        this.code.push(0x0d, statement.kind === 'leaveIf' ? 1 : 0);
        return;
      case 'return':
        this.#value(statement.value);
        this.code.push(0x0f);
        return;
      case 'segment':
        this.#segment(statement.index);
        return;
      case 'cut':
    }
  }

  /** Called with the first parameter and the frame, which is the first integer of the main function. */
  #segment(index: number): void {
    const frame = 2 + this.localTypes.indexOf(TYPE.integer);
    this.#result ??= 2 + this.localTypes.push(TYPE.integer) - 1;
    const result = unsigned(this.#result);
    this.code.push(0x20, 0, 0x20, ...unsigned(frame), 0x10, ...unsigned(FIRST_SEGMENT + index));
    this.code.push(0x22, ...result, 0x41, 0, 0x4e, 0x04, TYPE.none, 0x20, ...result, 0x0f, 0x0b);
  }

  #place({ index }: Local): Place {
    return this.#places[index]!;
  }

  #read(local: Local): void {
    const place = this.#place(local);
    if (place.kind === 'memory') this.#loadShared(place.address);
    else this.#get(place.index);
  }

  #loadShared(address: number): void {
    this.code.push(0x41, 0);
    this.#lanes(LANES.load, ALIGNMENT, ...unsigned(2 * address));
  }

  #set(local: Local, value: Code, mask: number | undefined): void {
    if (local.kind === 'integer' && mask !== undefined) {
      throw new TypeError('an integer is the same for both circuits; no branch of one of them can set it');
    }
    const place = this.#place(local);
    if (place.kind === 'memory') this.code.push(0x41, 0);
    this.#value(value);
    if (mask !== undefined) {
      this.#read(local);
      this.#get(mask);
      this.#lanes(LANES.select);
    }
    if (place.kind === 'memory') this.#storeShared(place.address);
    else this.#setLocal(place.index);
    if (place.kind !== 'both') return;
    this.code.push(0x41, 0);
    this.#get(place.index);
    this.#storeShared(place.address);
  }

  #storeShared(address: number): void {
    this.#lanes(LANES.store, ALIGNMENT, ...unsigned(2 * address));
  }

  #store({ bytes, address, value }: Statement & { kind: 'store' }, mask: number | undefined): void {
    this.#address(bytes);
    this.#value(value);
    if (mask !== undefined) {
      this.#load(bytes, address);
      this.#get(mask);
      this.#lanes(LANES.select);
    }
    this.#lanes(LANES.store, ALIGNMENT, ...unsigned(2 * address));
  }

  #when(statement: Statement & { kind: 'when' }, mask: number | undefined): void {
    const { condition, whenTrue: then, whenFalse: otherwise, usual } = statement;
    if (condition.op === 'not' && usual === 'otherwise') {
      const [inner] = condition.args;
      this.#when(
        { kind: 'when', condition: inner!, whenTrue: otherwise, whenFalse: then, usual: 'then' },
        mask,
      );
      return;
    }
    if (condition.kind === 'integer') {
      this.#value(condition);
      this.#if(
        () => this.write(then, mask),
        () => this.write(otherwise, mask),
      );
      return;
    }
    const whenTrue = this.#newVector();
    this.#value(condition);
    if (mask !== undefined) {
      this.#get(mask);
      this.#lanes(LANES.and);
      this.#setLocal(whenTrue);
      this.#apart(whenTrue, mask, then, otherwise);
      return;
    }
    this.#setLocal(whenTrue);
    const apart = () => this.#apart(whenTrue, undefined, then, otherwise);
    if (usual === 'otherwise' && otherwise.length === 0) {
      apart();
      return;
    }
    if (usual === 'then' && then.every(({ kind }) => kind === 'set' || kind === 'declare')) {
      // Code that only sets variables can run for both; the other way then sets its own afterwards.
      this.write(then, undefined);
      this.#signs(whenTrue);
      this.code.push(0x41, ...signed(BOTH_SIGNS), 0x47);
      this.#if(() => this.#apart(whenTrue, undefined, [], otherwise), undefined);
      return;
    }
    this.#signs(whenTrue);
    this.code.push(0x41, ...signed(BOTH_SIGNS), 0x46);
    this.#if(
      () => this.write(then, undefined),
      () => {
        if (usual === 'then') {
          apart();
          return;
        }
        this.#signs(whenTrue);
        this.#if(apart, () => this.write(otherwise, undefined));
      },
    );
  }

  /** Both ways one after the other, each for its own circuits. @param mask Circuits that reach this point; undefined for both. */
  #apart(
    whenTrue: number,
    mask: number | undefined,
    then: readonly Statement[],
    otherwise: readonly Statement[],
  ): void {
    const whenFalse = this.#newVector();
    if (otherwise.length > 0) {
      if (mask === undefined) {
        this.#get(whenTrue);
        this.#lanes(OPCODES.not!);
      } else {
        this.#get(mask);
        this.#get(whenTrue);
        this.#lanes(LANES.andNot);
      }
      this.#setLocal(whenFalse);
    }
    if (then.length > 0) this.#whenAny(whenTrue, () => this.write(then, whenTrue));
    if (otherwise.length > 0) this.#whenAny(whenFalse, () => this.write(otherwise, whenFalse));
  }

  #whenAny(mask: number, then: () => void): void {
    this.#signs(mask);
    this.#if(then, undefined);
  }

  /** With the condition on the stack. */
  #if(then: () => void, otherwise: (() => void) | undefined): void {
    this.code.push(0x04, TYPE.none);
    then();
    if (otherwise) {
      this.code.push(0x05);
      otherwise();
    }
    this.code.push(0x0b);
  }

  #loop(body: readonly Statement[], mask: number | undefined): void {
    const isUniform = body.every(
      (statement) =>
        (statement.kind !== 'leaveIf' && statement.kind !== 'againIf') ||
        statement.condition.kind === 'integer',
    );
    // A block (to leave) around a loop (to repeat).
    this.code.push(0x02, TYPE.none, 0x03, TYPE.none);
    if (isUniform) this.write(body, mask);
    else this.#writeLoopApart(body, mask);
    this.code.push(0x0b, 0x0b);
  }

  /** A loop that one circuit may leave before the other. */
  #writeLoopApart(body: readonly Statement[], mask: number | undefined): void {
    const running = this.#newVector();
    const start: number[] = [];
    if (mask === undefined) {
      start.push(0xfd, LANES.constant, ...Array<number>(16).fill(0xff));
    } else start.push(0x20, ...unsigned(mask));
    // Relative to the block and the loop that were just opened.
    this.code.splice(this.code.length - 4, 0, ...start, 0x21, ...unsigned(running));
    for (const statement of body) {
      if (statement.kind !== 'leaveIf' && statement.kind !== 'againIf') {
        this.#writeStatement(statement, running);
        continue;
      }
      this.#get(running);
      this.#value(statement.condition);
      this.#lanes(statement.kind === 'leaveIf' ? LANES.andNot : LANES.and);
      this.#setLocal(running);
      this.#signs(running);
      if (statement.kind === 'leaveIf') this.code.push(0x45, 0x0d, 1);
      else this.code.push(0x0d, 0);
    }
  }

  #value(code: Code): void {
    const { op, args, number, local } = code;
    if (op === 'load') {
      this.#load(args[0]!, number);
      return;
    }
    if (op === 'double') {
      if (number === 0 && !Object.is(number, -0)) this.#lanes(LANES.constant, ...Array<number>(16).fill(0));
      else this.#value(this.#f.constant(number));
      return;
    }
    for (const arg of args) this.#value(arg);
    switch (op) {
      case 'integer':
        this.code.push(0x41, ...signed(number));
        return;
      case 'get':
        this.#read(local!);
        return;
      case 'call':
        this.#call(number);
        return;
      case 'tablePower':
        this.#tablePower(args[0]!, number);
        return;
      case 'toDouble':
        this.code.push(0xb7);
        this.#lanes(LANES.splat);
        return;
      default:
        if (code.kind === 'integer') this.code.push(INTEGER_OPCODES[op]!);
        else this.#lanes(OPCODES[op]!);
    }
  }

  #load(bytes: Code, address: number): void {
    this.#address(bytes);
    this.#lanes(LANES.load, ALIGNMENT, ...unsigned(2 * address));
  }

  /** A number of bytes; a pair needs twice as many. */
  #address(bytes: Code): void {
    this.#value(bytes);
    if (bytes.op !== 'integer') this.code.push(0x41, 1, 0x74);
    else if (bytes.number !== 0) throw new TypeError('a fixed address has no bytes to add');
  }

  /** With the argument on the stack. */
  #call(index: number): void {
    this.#setLocal(this.#scratch);
    this.#get(this.#scratch);
    this.#lanes(LANES.extract, 0);
    this.code.push(0x10, ...unsigned(index));
    this.#lanes(LANES.splat);
    this.#get(this.#scratch);
    this.#lanes(LANES.extract, 1);
    this.code.push(0x10, ...unsigned(index));
    this.#lanes(LANES.replace, 1);
  }

  /** With the argument on the stack. */
  #tablePower(shifted: Code, address: number): void {
    // The octaves, in the bits of the exponent: ((bits >>> 9) << 52).
    this.code.push(0x41, ...signed(Math.log2(STEPS_PER_OCTAVE)));
    this.#lanes(LANES.shiftRightLong);
    this.code.push(0x41, ...signed(52));
    this.#lanes(LANES.shiftLeftLong);
    this.#tableEntry(shifted, 1);
    this.#tableEntry(shifted, 0);
    this.#lanes(LANES.loadFirst, 3, ...unsigned(2 * address));
    this.#lanes(LANES.loadLane, 3, ...unsigned(2 * address), 1);
    this.#lanes(LANES.addLong);
  }

  /** Bytes from the table's start to the entry of a lane, 16·(bits & 511). */
  #tableEntry(shifted: Code, lane: 0 | 1): void {
    this.#value(shifted);
    this.#lanes(LANES.extractInteger, 2 * lane);
    this.code.push(0x41, ...signed(STEPS_PER_OCTAVE - 1), 0x71, 0x41, ALIGNMENT, 0x74);
  }

  /** One bit for each circuit: whether it is in the mask. */
  #signs(mask: number): void {
    this.#get(mask);
    this.#lanes(LANES.signs);
  }

  #get(index: number): void {
    this.code.push(0x20, ...unsigned(index));
  }

  #setLocal(index: number): void {
    this.code.push(0x21, ...unsigned(index));
  }

  #lanes(opcode: number, ...immediates: readonly number[]): void {
    this.code.push(0xfd, ...unsigned(opcode), ...immediates);
  }

  #newVector(): number {
    this.localTypes.push(TYPE.vector);
    return this.#f.parameters.length + this.localTypes.length - 1;
  }
}
