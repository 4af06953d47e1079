import type { Formula } from '../../devices/formula.ts';
import { exponential } from './emit-exponential.ts';
import {
  absolute,
  add,
  both,
  type Code,
  call,
  divide,
  double,
  either,
  get,
  greater,
  greaterOrEqual,
  less,
  load,
  maximum,
  minimum,
  multiply,
  negate,
  select,
  squareRoot,
  subtract,
} from './expression.ts';
import type { FunctionBuilder } from './function-builder.ts';

/** Index of the imported logarithm. */
const LOGARITHM = 0;

const UNARY = { negate, absolute, squareRoot } as const;
const BINARY = {
  add,
  subtract,
  multiply,
  divide,
  minimum,
  maximum,
  less,
  greater,
  greaterOrEqual,
  both,
  either,
} as const;

/** Addresses of a device's numbers. */
export interface FormulaPlaces {
  /** Byte address of its first parameter; the names of all, in order. */
  readonly given: number;
  readonly names: readonly string[];
  /** Byte address of the first part that is computed when a parameter changes, and these parts, in order. */
  readonly derived: number;
  readonly parts: readonly Formula[];
}

/**
 * Formulas as code: shared parts are computed once, fixed parts are read from memory, and all choices by one
 * condition share one branch.
 *
 * @param inputs Code of what the formulas call inputs, by name. @param places Undefined if parameters are among
 * the inputs; fixed parts are then computed like the rest.
 */
export function emitFormulas(
  f: FunctionBuilder,
  formulas: readonly Formula[],
  inputs: Readonly<Record<string, Code>>,
  places: FormulaPlaces | undefined,
): readonly Code[] {
  const emitter = new FormulaEmitter(f, formulas, inputs, places);
  return formulas.map((formula) => emitter.emit(formula));
}

/** Values computed on a path through branches, and the conditions of that path. */
class Scope {
  readonly isHot: boolean;
  readonly #parent: Scope | undefined;
  readonly #codes = new Map<Formula, Code>();
  readonly #truths = new Map<Formula, boolean>();

  constructor(parent: Scope | undefined, isHot: boolean) {
    this.#parent = parent;
    this.isHot = isHot;
  }

  code(formula: Formula): Code | undefined {
    return this.#codes.get(formula) ?? this.#parent?.code(formula);
  }

  keep(formula: Formula, code: Code): Code {
    this.#codes.set(formula, code);
    return code;
  }

  truth(condition: Formula): boolean | undefined {
    return this.#truths.get(condition) ?? this.#parent?.truth(condition);
  }

  /** A path on which a condition is known. */
  assuming(condition: Formula, isTrue: boolean, isHot: boolean): Scope {
    const inner = new Scope(this, isHot);
    inner.#truths.set(condition, isTrue);
    return inner;
  }
}

class FormulaEmitter {
  readonly #f: FunctionBuilder;
  readonly #inputs: Readonly<Record<string, Code>>;
  readonly #places: FormulaPlaces | undefined;
  /** How often each formula is an operand or a result. */
  readonly #uses = new Map<Formula, number>();
  /** Choices that branch, by condition. */
  readonly #branches = new Map<Formula, Formula[]>();
  #scope = new Scope(undefined, true);

  constructor(
    f: FunctionBuilder,
    formulas: readonly Formula[],
    inputs: Readonly<Record<string, Code>>,
    places: FormulaPlaces | undefined,
  ) {
    this.#f = f;
    this.#inputs = inputs;
    this.#places = places;
    for (const formula of formulas) this.#count(formula);
  }

  #count(formula: Formula): void {
    if (formula.op === 'known') {
      this.#count(formula.args[0]!);
      return;
    }
    const before = this.#uses.get(formula) ?? 0;
    this.#uses.set(formula, before + 1);
    if (before > 0 || this.#isRead(formula)) return;
    if (formula.op === 'choose' && formula.usual) {
      const [condition] = formula.args;
      this.#branches.set(condition!, [...(this.#branches.get(condition!) ?? []), formula]);
    }
    for (const arg of formula.args) this.#count(arg);
  }

  emit(formula: Formula): Code {
    if (formula.op === 'known') return this.emit(formula.args[0]!);
    if (formula.op === 'number') return this.#number(formula.number);
    if (this.#isRead(formula)) return this.#read(formula);
    const before = this.#scope.code(formula);
    if (before) return before;
    if (formula.op === 'choose' && formula.usual) return this.#branch(formula);
    const code = this.#compute(formula);
    const isTruth = code.kind === 'truth';
    const isShared = this.#uses.get(formula)! > 1 && !isTruth;
    return isShared ? this.#scope.keep(formula, this.#f.define(code)) : code;
  }

  /** Whether a formula is read from memory instead of computed. */
  #isRead({ op, isFixed }: Formula): boolean {
    return op === 'input' || op === 'parameter' || (isFixed && this.#places !== undefined);
  }

  #number(value: number): Code {
    // V8 makes a constant in the code again at each use; a rare one, or 0, needs no place in memory.
    return this.#scope.isHot && value !== 0 ? this.#f.constant(value) : double(value);
  }

  #read(formula: Formula): Code {
    const input = this.#inputs[formula.name];
    if (input) return input;
    if (!this.#places) throw new TypeError(`a formula reads "${formula.name}", which is not given`);
    const { given, names, derived, parts } = this.#places;
    const isParameter = names.includes(formula.name);
    const place = isParameter ? names.indexOf(formula.name) : parts.indexOf(formula);
    if (place < 0) throw new TypeError(`a formula reads "${formula.name || formula.op}", which has no place`);
    return load((isParameter ? given : derived) + 8 * place);
  }

  #compute({ op, args }: Formula): Code {
    const codes = args.map((arg) => this.emit(arg));
    const [a, b, c] = codes as [Code, Code, Code];
    if (op in UNARY) return UNARY[op as keyof typeof UNARY](a);
    if (op in BINARY) return BINARY[op as keyof typeof BINARY](a, b);
    if (op === 'exponential') return exponential(this.#f, a);
    if (op === 'logarithm') return call(LOGARITHM, a);
    return select(a, b, c);
  }

  /** Branches for a formula together with all others of the same condition. */
  #branch(formula: Formula): Code {
    const [condition, whenTrue, whenFalse] = formula.args as readonly [Formula, Formula, Formula];
    const truth = this.#scope.truth(condition);
    if (truth !== undefined) return this.emit(truth ? whenTrue : whenFalse);
    const f = this.#f;
    const outer = this.#scope;
    const code = this.emit(condition);
    const alike = this.#branches.get(condition)!.filter((other) => !outer.code(other));
    const way = (isTrue: boolean, isHot: boolean) => () => {
      this.#scope = outer.assuming(condition, isTrue, isHot);
      alike.forEach(({ args }, index) => {
        f.set(locals[index]!, this.emit(args[isTrue ? 1 : 2]!));
      });
      this.#scope = outer;
    };
    const locals = alike.map(() => f.newDouble());
    if (formula.usual === 'otherwise') {
      // The usual value is set before the branch.
      way(false, outer.isHot)();
      f.whenRarely(code, way(true, false));
    } else {
      const isUsual = formula.usual === 'then';
      f.when(code, way(true, outer.isHot && isUsual), way(false, false), isUsual ? 'then' : undefined);
    }
    alike.forEach((other, index) => {
      outer.keep(other, get(locals[index]!));
    });
    return outer.code(formula)!;
  }
}
