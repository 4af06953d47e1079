/**
 * Equations as trees. A device's file writes its equations with these functions; they are then evaluated with
 * numbers, emitted as code, and differentiated. Equal trees are one object, so a term that an equation shares
 * with its derivatives is computed once.
 */
export interface Formula {
  readonly op: FormulaOp;
  readonly args: readonly Formula[];
  /** Value of a number. */
  readonly number: number;
  /** Name of an input or parameter. */
  readonly name: string;
  /** Made of numbers and parameters only, so known before the first sample. */
  readonly isFixed: boolean;
  /** For `choose`: which branch is nearly always taken. If this is given, the code branches and computes one of the two. */
  readonly usual: Usual;
  readonly id: number;
}

export type Usual = 'then' | 'otherwise' | 'neither' | undefined;

export type FormulaOp =
  | 'number'
  | 'input'
  | 'parameter'
  | 'add'
  | 'subtract'
  | 'multiply'
  | 'divide'
  | 'negate'
  | 'minimum'
  | 'maximum'
  | 'absolute'
  | 'squareRoot'
  | 'exponential'
  | 'logarithm'
  | 'less'
  | 'greater'
  | 'greaterOrEqual'
  | 'both'
  | 'either'
  | 'choose'
  | 'known';

const nodes = new Map<string, Formula>();

interface Leaf {
  readonly number?: number;
  readonly name?: string;
  readonly usual?: Usual;
}

function node(op: FormulaOp, args: readonly Formula[], { number = 0, name = '', usual }: Leaf = {}): Formula {
  const sign = Object.is(number, -0) ? '-0' : number;
  const key = `${op} ${sign} ${name} ${usual} ${args.map(({ id }) => id).join(' ')}`;
  const before = nodes.get(key);
  if (before) return before;
  const isFixed =
    op === 'number' || op === 'parameter' || (op !== 'input' && args.every((arg) => arg.isFixed));
  const made: Formula = { op, args, number, name, isFixed, usual, id: nodes.size };
  nodes.set(key, made);
  return made;
}

export const number = (value: number): Formula => node('number', [], { number: value });
/** A number of the device, by its name; known before the first sample. */
export const parameter = (name: string): Formula => node('parameter', [], { name });
/** A value that changes from step to step, such as a voltage. */
export const input = (name: string): Formula => node('input', [], { name });

const ZERO = number(0);
const ONE = number(1);

const isNumber = ({ op, number: value }: Formula, wanted: number) => op === 'number' && value === wanted;
const bothNumbers = (a: Formula, b: Formula) => a.op === 'number' && b.op === 'number';

export function add(a: Formula, b: Formula): Formula {
  if (bothNumbers(a, b)) return number(a.number + b.number);
  if (isNumber(a, 0)) return b;
  if (isNumber(b, 0)) return a;
  if (b.op === 'negate') return subtract(a, b.args[0]!);
  if (a.op === 'negate') return subtract(b, a.args[0]!);
  return node('add', [a, b]);
}

export function subtract(a: Formula, b: Formula): Formula {
  if (bothNumbers(a, b)) return number(a.number - b.number);
  if (isNumber(b, 0)) return a;
  if (isNumber(a, 0)) return negate(b);
  if (a === b) return ZERO;
  return b.op === 'negate' ? add(a, b.args[0]!) : node('subtract', [a, b]);
}

export function negate(a: Formula): Formula {
  // 0 − a, so that the negative of 0 is 0 and not −0.
  if (a.op === 'number') return number(0 - a.number);
  if (a.op === 'negate') return a.args[0]!;
  if (a.op === 'subtract') return subtract(a.args[1]!, a.args[0]!);
  const [factor, fixed] = a.args;
  if (a.op === 'multiply' && fixed!.isFixed && !a.isFixed) return multiply(factor!, negate(fixed!));
  return node('negate', [a]);
}

/** The fixed factors of a product are gathered into one, which comes last. */
export function multiply(a: Formula, b: Formula): Formula {
  if (bothNumbers(a, b)) return number(a.number * b.number);
  if (isNumber(a, 0) || isNumber(b, 0)) return ZERO;
  if (isNumber(a, 1)) return b;
  if (isNumber(b, 1)) return a;
  if (isNumber(a, -1)) return negate(b);
  if (isNumber(b, -1)) return negate(a);
  if (a.isFixed && !b.isFixed) return multiply(b, a);
  if (a.op === 'negate' && b.isFixed) return multiply(a.args[0]!, negate(b));
  if (a.op === 'negate') return negate(multiply(a.args[0]!, b));
  if (b.op === 'negate' && !b.isFixed) return negate(multiply(a, b.args[0]!));
  if (b.isFixed && !a.isFixed && a.op === 'multiply' && a.args[1]!.isFixed)
    return multiply(a.args[0]!, multiply(a.args[1]!, b));
  return node('multiply', [a, b]);
}

/** Dividing by a fixed value multiplies by its reciprocal. */
export function divide(a: Formula, b: Formula): Formula {
  if (bothNumbers(a, b)) return number(a.number / b.number);
  if (isNumber(a, 0)) return ZERO;
  if (isNumber(b, 1)) return a;
  return b.isFixed && !a.isFixed ? multiply(a, divide(ONE, b)) : node('divide', [a, b]);
}

export const minimum = (a: Formula, b: Formula): Formula => node('minimum', [a, b]);
export const maximum = (a: Formula, b: Formula): Formula => node('maximum', [a, b]);
export const absolute = (a: Formula): Formula => node('absolute', [a]);
export const squareRoot = (a: Formula): Formula => node('squareRoot', [a]);
/** e^x, for arguments between −700 and 700. */
export const exponential = (a: Formula): Formula => node('exponential', [a]);
export const logarithm = (a: Formula): Formula => node('logarithm', [a]);

/** Conditions; only {@link choose} makes a number of them. */
export const less = (a: Formula, b: Formula): Formula => node('less', [a, b]);
export const greater = (a: Formula, b: Formula): Formula => node('greater', [a, b]);
export const greaterOrEqual = (a: Formula, b: Formula): Formula => node('greaterOrEqual', [a, b]);
export const both = (a: Formula, b: Formula): Formula => node('both', [a, b]);
export const either = (a: Formula, b: Formula): Formula => node('either', [a, b]);

/** @param usual Which branch is nearly always taken: the code then branches and computes only one; otherwise it computes both. */
export function choose(condition: Formula, whenTrue: Formula, whenFalse: Formula, usual?: Usual): Formula {
  return whenTrue === whenFalse ? whenTrue : node('choose', [condition, whenTrue, whenFalse], { usual });
}

/** u⁺² = max(u, 0)², smooth at zero; its slope is 2u⁺. */
export function positiveSquare(u: Formula): Formula {
  const positive = maximum(u, ZERO);
  return withSlope(multiply(positive, positive), u, multiply(positive, number(2)));
}

/** u/√(1 + u²), which saturates at ±1; its slope is (1 + u²)^(−3/2). */
export function saturating(u: Formula): Formula {
  const perRoot = divide(ONE, squareRoot(add(multiply(u, u), ONE)));
  return withSlope(multiply(u, perRoot), u, multiply(perRoot, multiply(perRoot, perRoot)));
}

/** A function of one argument with a derivative that is shorter than the one the rules below would make. */
export function withSlope(value: Formula, argument: Formula, slope: Formula): Formula {
  return node('known', [value, argument, slope]);
}

/** ∂f/∂x for an input x. */
export function derivative(f: Formula, x: Formula): Formula {
  const found = new Map<Formula, Formula>();
  const of = (part: Formula): Formula => {
    const before = found.get(part);
    if (before) return before;
    const made = part === x ? ONE : part.isFixed ? ZERO : ruleFor(part, of);
    found.set(part, made);
    return made;
  };
  return of(f);
}

function ruleFor(f: Formula, of: (part: Formula) => Formula): Formula {
  const [a, b, c] = f.args as readonly [Formula, Formula, Formula];
  switch (f.op) {
    case 'add':
      return add(of(a), of(b));
    case 'subtract':
      return subtract(of(a), of(b));
    case 'multiply':
      return add(multiply(of(a), b), multiply(a, of(b)));
    case 'divide':
      return divide(subtract(of(a), multiply(f, of(b))), b);
    case 'negate':
      return negate(of(a));
    case 'minimum':
      return choose(less(a, b), of(a), of(b));
    case 'maximum':
      return choose(greater(a, b), of(a), of(b));
    case 'absolute':
      return choose(less(a, ZERO), negate(of(a)), of(a));
    case 'squareRoot':
      return divide(of(a), multiply(f, number(2)));
    case 'exponential':
      return multiply(of(a), f);
    case 'logarithm':
      return divide(of(a), a);
    case 'choose':
      return choose(a, of(b), of(c), f.usual);
    case 'known':
      return multiply(of(b), c);
    default:
      return ZERO;
  }
}

/** The largest fixed parts of formulas, except plain numbers and parameters. */
export function fixedParts(formulas: readonly Formula[]): readonly Formula[] {
  const found = new Set<Formula>();
  const seen = new Set<Formula>();
  const visit = (part: Formula): void => {
    if (seen.has(part)) return;
    seen.add(part);
    if (part.isFixed && part.op !== 'known') {
      if (part.args.length > 0) found.add(part);
      return;
    }
    for (const arg of part.op === 'known' ? [part.args[0]!] : part.args) visit(arg);
  };
  for (const formula of formulas) visit(formula);
  return [...found];
}
