import { type Code, double, get, integer, type Local, unsigned } from './wasm-code.ts';

const I32 = 0x7f;
const F64 = 0x7c;
const VOID = 0x40;

/** Collects the statements and local variables of one function. */
export class FunctionBuilder {
  readonly tableAddress: number;
  readonly #parameterCount: number;
  readonly #types: number[] = [];
  readonly #body: number[] = [];
  /** Open blocks, the innermost last; branches count from there. */
  #depth = 0;

  /** @param tableAddress Where the module keeps the constants that the code reads, byte address. */
  constructor(parameterCount: number, tableAddress: number) {
    this.#parameterCount = parameterCount;
    this.tableAddress = tableAddress;
  }

  /** Parameters among them. */
  get localCount(): number {
    return this.#parameterCount + this.#types.length;
  }

  newDouble(): Local {
    this.#types.push(F64);
    return this.#parameterCount + this.#types.length - 1;
  }

  newInteger(): Local {
    this.#types.push(I32);
    return this.#parameterCount + this.#types.length - 1;
  }

  set(local: Local, value: Code): void {
    this.#push(value);
    this.#body.push(0x21, ...unsigned(local));
  }

  /** A new variable with a value, as the code that reads it. */
  define(value: Code): Code {
    const local = this.newDouble();
    this.set(local, value);
    return get(local);
  }

  /** A new variable with a value. */
  variable(value: Code): Local {
    const local = this.newDouble();
    this.set(local, value);
    return local;
  }

  /** A new integer variable with a value. */
  defineInteger(value: Code): Local {
    const local = this.newInteger();
    this.set(local, value);
    return local;
  }

  store(address: number, value: Code): void {
    this.storeAt(integer(0), address, value);
  }

  storeAt(bytes: Code, address: number, value: Code): void {
    this.#push(bytes);
    this.#push(value);
    this.#body.push(0x39, 3, ...unsigned(address));
  }

  when(condition: Code, then: () => void, otherwise?: () => void): void {
    this.#push(condition);
    this.#body.push(0x04, VOID);
    this.#nested(then);
    if (otherwise) {
      this.#body.push(0x05);
      this.#nested(otherwise);
    }
    this.#body.push(0x0b);
  }

  /** A block that `leave` ends and a loop that `again` repeats; both hold while the body is written. */
  loop(
    body: (flow: { leaveIf: (condition: Code) => void; againIf: (condition: Code) => void }) => void,
  ): void {
    this.#body.push(0x02, VOID, 0x03, VOID);
    this.#depth += 2;
    const base = this.#depth;
    const branchIf = (level: number) => (condition: Code) => {
      this.#push(condition);
      this.#body.push(0x0d, ...unsigned(this.#depth - level));
    };
    body({ leaveIf: branchIf(base - 1), againIf: branchIf(base) });
    this.#depth -= 2;
    this.#body.push(0x0b, 0x0b);
  }

  returns(value: Code): void {
    this.#push(value);
    this.#body.push(0x0f);
  }

  /** The function's entry in the code section. */
  encode(): number[] {
    const locals = this.#types.flatMap((type) => [1, type]);
    const content = [...unsigned(this.#types.length), ...locals, ...this.#body, 0x0b];
    return [...unsigned(content.length), ...content];
  }

  #nested(body: () => void): void {
    this.#depth++;
    body();
    this.#depth--;
  }

  #push(code: Code): void {
    for (const byte of code) this.#body.push(byte);
  }
}

/** Calls an imported function of doubles. */
export const call = (index: number, ...args: readonly Code[]): Code => [
  ...args.flat(),
  0x10,
  ...unsigned(index),
];

/**
 * A module with one exported function `run(i32, i32) → i32`, one exported memory that holds a table of constants at the
 * function's table address, and `Math.log` imported as function 0.
 */
export function encodeModule(run: FunctionBuilder, pages: number, table: Float64Array): Uint8Array {
  const section = (id: number, content: readonly number[]) => [id, ...unsigned(content.length), ...content];
  const name = (text: string) => [text.length, ...[...text].map((letter) => letter.charCodeAt(0))];
  const constants = [...table].flatMap((value) => double(value).slice(1));
  const bytes = [
    ...[0x00, 0x61, 0x73, 0x6d, 0x01, 0x00, 0x00, 0x00],
    ...section(1, [2, 0x60, 1, F64, 1, F64, 0x60, 2, I32, I32, 1, I32]),
    ...section(2, [1, ...name('math'), ...name('log'), 0x00, 0]),
    ...section(3, [1, 1]),
    ...section(5, [1, 0x00, ...unsigned(pages)]),
    ...section(7, [2, ...name('run'), 0x00, 1, ...name('memory'), 0x02, 0]),
    ...section(10, [1, ...run.encode()]),
    ...section(11, [
      1,
      0x00,
      ...integer(run.tableAddress),
      0x0b,
      ...unsigned(constants.length),
      ...constants,
    ]),
  ];
  return Uint8Array.from(bytes);
}
