/**
 * Computations as trees: `add(a, b)` is the sum of a and b. Addresses are constants, since every number has a
 * fixed place. A node that is used in several places is computed in each of them; to compute it once, put it
 * into a variable.
 */
export interface Code {
  readonly op: Operation;
  /** Types of values. A condition ('truth') comes from comparing doubles, and may differ between the circuits of a pair; an integer is the same for both, such as a loop counter. */
  readonly kind: 'double' | 'truth' | 'integer';
  readonly args: readonly Code[];
  /** Value of a constant, address of a load or table, index of a function. */
  readonly number: number;
  readonly local: Local | undefined;
}

/** A variable of the function. */
export interface Local {
  readonly kind: 'double' | 'integer';
  /** Parameters first. */
  readonly index: number;
}

export type Operation =
  | 'add'
  | 'subtract'
  | 'multiply'
  | 'divide'
  | 'minimum'
  | 'maximum'
  | 'absolute'
  | 'negate'
  | 'squareRoot'
  | 'equal'
  | 'less'
  | 'greater'
  | 'greaterOrEqual'
  | 'both'
  | 'either'
  | 'not'
  | 'select'
  | 'addInteger'
  | 'subtractInteger'
  | 'lessInteger'
  | 'shiftLeft'
  | 'toDouble'
  | 'double'
  | 'integer'
  | 'get'
  | 'load'
  | 'call'
  | 'tablePower';

const node = (op: Operation, kind: Code['kind'], args: readonly Code[]): Code => ({
  op,
  kind,
  args,
  number: 0,
  local: undefined,
});
const unary = (op: Operation) => (a: Code) => node(op, 'double', [a]);
const binary = (op: Operation) => (a: Code, b: Code) => node(op, 'double', [a, b]);
const comparison = (op: Operation) => (a: Code, b: Code) => node(op, 'truth', [a, b]);
const counting = (op: Operation) => (a: Code, b: Code) => node(op, 'integer', [a, b]);

export const add = binary('add');
export const subtract = binary('subtract');
export const multiply = binary('multiply');
export const divide = binary('divide');
export const minimum = binary('minimum');
export const maximum = binary('maximum');
export const absolute = unary('absolute');
export const negate = unary('negate');
export const squareRoot = unary('squareRoot');

export const equal = comparison('equal');
export const less = comparison('less');
export const greater = comparison('greater');
export const greaterOrEqual = comparison('greaterOrEqual');
export const both = comparison('both');
export const either = comparison('either');
export const not = (truth: Code) => node('not', 'truth', [truth]);

export const addInteger = counting('addInteger');
export const subtractInteger = counting('subtractInteger');
/** 1 or 0. */
export const lessInteger = counting('lessInteger');
export const shiftLeft = counting('shiftLeft');
export const toDouble = (integer: Code) => node('toDouble', 'double', [integer]);

export const select = (condition: Code, whenTrue: Code, whenFalse: Code): Code =>
  node('select', 'double', [whenTrue, whenFalse, condition]);

export const get = (local: Local): Code => ({ op: 'get', kind: local.kind, args: [], number: 0, local });

export const double = (value: number): Code => ({ ...node('double', 'double', []), number: value });

export const integer = (value: number): Code => ({ ...node('integer', 'integer', []), number: value });

/** Byte address of an array's entry. */
export const addressOf = (array: Float64Array, index: number): number => array.byteOffset + 8 * index;

/** The double at a fixed address. */
export const load = (address: number): Code => loadAt(integer(0), address);

/** The double at a fixed address plus a number of bytes. */
export const loadAt = (bytes: Code, address: number): Code => ({
  ...node('load', 'double', [bytes]),
  number: address,
});

/** Calls an imported function of one double. */
export const call = (index: number, argument: Code): Code => ({
  ...node('call', 'double', [argument]),
  number: index,
});

/** Table entries of {@link tablePower} for a factor of two. */
export const STEPS_PER_OCTAVE = 512;

/**
 * 2^(n/512) for the integer n in the low bits of a double with exponent 52: the factor below two comes from a
 * table of 2^(j/512), the rest is added to the exponent.
 *
 * @param shifted Reads a variable. @param address Byte address of the table.
 */
export const tablePower = (shifted: Code, address: number): Code => ({
  ...node('tablePower', 'double', [shifted]),
  number: address,
});

/** Sum as a balanced tree, so that the additions need not wait for one another. */
export function sum(terms: readonly Code[]): Code {
  if (terms.length === 0) return double(0);
  if (terms.length === 1) return terms[0]!;
  const middle = terms.length >> 1;
  return add(sum(terms.slice(0, middle)), sum(terms.slice(middle)));
}
