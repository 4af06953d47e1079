import { type Code, double, get, integer, type Local, load } from './expression.ts';

/** The branch that is nearly always taken; a back end may make the other one short instead of fast. */
export type Usual = 'then' | 'otherwise' | undefined;

export type Statement =
  /** The variable is not read before this point. */
  | { readonly kind: 'declare'; readonly local: Local; readonly value: Code }
  | { readonly kind: 'set'; readonly local: Local; readonly value: Code }
  | { readonly kind: 'store'; readonly bytes: Code; readonly address: number; readonly value: Code }
  | {
      readonly kind: 'when';
      readonly condition: Code;
      readonly whenTrue: readonly Statement[];
      readonly whenFalse: readonly Statement[];
      readonly usual: Usual;
    }
  | { readonly kind: 'loop'; readonly body: readonly Statement[] }
  /** Must be directly in the body of the loop that they end or repeat. */
  | { readonly kind: 'leaveIf' | 'againIf'; readonly condition: Code }
  | { readonly kind: 'return'; readonly value: Code }
  /** Here the body of the loop may be divided into functions: see outline.ts. */
  | { readonly kind: 'cut' }
  /** Calls one of these functions, and returns what it returns unless that is negative. */
  | { readonly kind: 'segment'; readonly index: number };

/** Collects the statements, variables and constants of one function. */
export class FunctionBuilder {
  readonly constantsAddress: number;
  readonly parameters: readonly Local[];
  /** Variables other than parameters, by index. */
  readonly locals: Local[] = [];
  /** The first one is a dummy: see {@link settle}. */
  readonly #constants: number[] = [0];
  readonly #tables = new Map<Float64Array, number>();
  #statements: Statement[] = [];

  /** @param constantsAddress Byte address of the constants that the code reads. */
  constructor(parameterCount: number, constantsAddress: number) {
    this.parameters = Array.from({ length: parameterCount }, (_, index) => ({
      kind: 'integer',
      index,
    }));
    this.constantsAddress = constantsAddress;
  }

  get statements(): readonly Statement[] {
    return this.#statements;
  }

  /** The constants of the code, to be placed at their address. */
  get constants(): readonly number[] {
    return this.#constants;
  }

  /**
   * A constant in memory, which an instruction can use as its operand. A constant in the code costs two or
   * three instructions at each use in V8.
   */
  constant(value: number): Code {
    let index = this.#constants.indexOf(value, 1);
    if (index < 0) index = this.#constants.push(value) - 1;
    return load(this.constantsAddress + 8 * index);
  }

  /** Byte address of a table of constants. */
  table(values: Float64Array): number {
    const known = this.#tables.get(values);
    if (known !== undefined) return known;
    const address = this.constantsAddress + 8 * this.#constants.length;
    this.#constants.push(...values);
    this.#tables.set(values, address);
    return address;
  }

  /** A new variable, to be set before it is read. */
  newDouble(): Local {
    return this.variable(double(0));
  }

  set(local: Local, value: Code): void {
    this.#statements.push({ kind: 'set', local, value });
  }

  /** A new variable with a value, as the code that reads it. */
  define(value: Code): Code {
    const local = this.#newLocal('double');
    this.#statements.push({ kind: 'declare', local, value });
    return get(local);
  }

  /**
   * The same, computed at this point. V8 delays a value that only later code reads, and keeps the operands of
   * all delayed values on the stack; a store forces the computation.
   */
  settle(value: Code): Code {
    const code = this.define(value);
    this.store(this.constantsAddress, code);
    return code;
  }

  /** A new variable with a value. */
  variable(value: Code): Local {
    const local = this.#newLocal('double');
    this.#statements.push({ kind: 'declare', local, value });
    return local;
  }

  /** A new integer variable with a value. */
  integerVariable(value: Code): Local {
    const local = this.#newLocal('integer');
    this.#statements.push({ kind: 'declare', local, value });
    return local;
  }

  store(address: number, value: Code): void {
    this.storeAt(integer(0), address, value);
  }

  storeAt(bytes: Code, address: number, value: Code): void {
    this.#statements.push({ kind: 'store', bytes, address, value });
  }

  when(condition: Code, then: () => void, otherwise: () => void = () => undefined, usual?: Usual): void {
    this.#statements.push({
      kind: 'when',
      condition,
      whenTrue: this.#collect(then),
      whenFalse: this.#collect(otherwise),
      usual,
    });
  }

  /** Code that runs in few samples only. */
  whenRarely(condition: Code, then: () => void): void {
    this.when(condition, then, undefined, 'otherwise');
  }

  /** A loop that `leaveIf` ends and `againIf` repeats. */
  loop(
    body: (flow: { leaveIf: (condition: Code) => void; againIf: (condition: Code) => void }) => void,
  ): void {
    const branchIf = (kind: 'leaveIf' | 'againIf') => (condition: Code) => {
      this.#statements.push({ kind, condition });
    };
    const statements = this.#collect(() =>
      body({ leaveIf: branchIf('leaveIf'), againIf: branchIf('againIf') }),
    );
    this.#statements.push({ kind: 'loop', body: statements });
  }

  /** Directly in the body of the sample loop. */
  cut(): void {
    this.#statements.push({ kind: 'cut' });
  }

  returns(value: Code): void {
    this.#statements.push({ kind: 'return', value });
  }

  #newLocal(kind: Local['kind']): Local {
    const local = { kind, index: this.parameters.length + this.locals.length };
    this.locals.push(local);
    return local;
  }

  #collect(write: () => void): readonly Statement[] {
    const outer = this.#statements;
    this.#statements = [];
    write();
    const collected = this.#statements;
    this.#statements = outer;
    return collected;
  }
}
