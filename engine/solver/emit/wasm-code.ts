/**
 * The few WebAssembly instructions that a solver needs, as functions from code to code: `add(a, b)` is the
 * code of a, the code of b, then f64.add. Addresses are constants, since every number has a fixed place.
 *
 * @see WebAssembly Core Specification 1.0 (W3C, 2019), section 5.4
 */
export type Code = readonly number[];

/** Index of a function's local variable. */
export type Local = number;

const binary =
  (opcode: number) =>
  (a: Code, b: Code): Code => [...a, ...b, opcode];
const unary =
  (opcode: number) =>
  (a: Code): Code => [...a, opcode];

export const add = binary(0xa0);
export const subtract = binary(0xa1);
export const multiply = binary(0xa2);
export const divide = binary(0xa3);
export const minimum = binary(0xa4);
export const maximum = binary(0xa5);
export const absolute = unary(0x99);
export const negate = unary(0x9a);
export const squareRoot = unary(0x9f);

/** Comparisons of doubles, giving an i32 condition. */
export const equal = binary(0x61);
export const less = binary(0x63);
export const greater = binary(0x64);
export const greaterOrEqual = binary(0x66);

/** Integer (i32) arithmetic for counters. */
export const addInteger = binary(0x6a);
export const subtractInteger = binary(0x6b);
export const lessInteger = binary(0x48);
/** Bit by bit; of two conditions, whether both hold. */
export const both = binary(0x71);
export const shiftLeft = binary(0x74);
export const toDouble = unary(0xb7);

/** Condition first as a reader expects it; the instruction takes it last. */
export const select = (condition: Code, whenTrue: Code, whenFalse: Code): Code => [
  ...whenTrue,
  ...whenFalse,
  ...condition,
  0x1b,
];

export const get = (local: Local): Code => [0x20, ...unsigned(local)];

export function double(value: number): Code {
  const bytes = new Uint8Array(8);
  new DataView(bytes.buffer).setFloat64(0, value, true);
  return [0x44, ...bytes];
}

export const integer = (value: number): Code => [0x41, ...signed(value)];

/** Byte address of an array's entry. */
export const addressOf = (array: Float64Array, index: number): number => array.byteOffset + 8 * index;

/** The double at a fixed address. */
export const load = (address: number): Code => [...integer(0), 0x2b, 3, ...unsigned(address)];

/** The double at a fixed address plus a number of bytes. */
export const loadAt = (bytes: Code, address: number): Code => [...bytes, 0x2b, 3, ...unsigned(address)];

/** Integers of 64 bits (i64), which the bits of a double are worked with. */
export const long = (value: number): Code => [0x42, ...signed(value)];
export const addLong = binary(0x7c);
export const shiftLeftLong = binary(0x86);
/** Without regard to a sign. */
export const shiftRightLong = binary(0x88);
export const longOfDouble = unary(0xbd);
export const doubleOfLong = unary(0xbf);
/** The low 32 bits. */
export const lowHalf = unary(0xa7);
/** The 64 bits at a fixed address plus a number of bytes. */
export const loadLongAt = (bytes: Code, address: number): Code => [...bytes, 0x29, 3, ...unsigned(address)];

/** Sum as a balanced tree, so that the additions need not wait for one another. */
export function sum(terms: readonly Code[]): Code {
  if (terms.length === 0) return double(0);
  if (terms.length === 1) return terms[0]!;
  const middle = terms.length >> 1;
  return add(sum(terms.slice(0, middle)), sum(terms.slice(middle)));
}

/** LEB128. */
export function unsigned(value: number): number[] {
  const bytes: number[] = [];
  let rest = value;
  do {
    const more = rest > 0x7f;
    bytes.push((rest & 0x7f) | (more ? 0x80 : 0));
    rest >>>= 7;
  } while (rest > 0);
  return bytes;
}

export function signed(value: number): number[] {
  const bytes: number[] = [];
  let rest = value;
  for (;;) {
    const byte = rest & 0x7f;
    rest >>= 7;
    const done = (rest === 0 && (byte & 0x40) === 0) || (rest === -1 && (byte & 0x40) !== 0);
    bytes.push(done ? byte : byte | 0x80);
    if (done) return bytes;
  }
}
