/**
 * C source of a circuit's emitted loop: the function `run(from, to)` over the array of bytes `memory`, and those that it calls. It
 * reads the module's bytes, so both run the same operations in the same order, and the compilers are
 * the only difference.
 *
 * @param module As `emitCircuit` makes it: functions of two integers, of which the first is `run`, and whose import 0 is the logarithm.
 * Throws RangeError for an instruction that the emitter does not use.
 * @see WebAssembly Core Specification 1.0 (W3C, 2019), section 5
 */
export function translateToC(module: Uint8Array): string {
  const reader = new ByteReader(module, 8);
  while (reader.byte() !== CODE_SECTION) reader.skip(reader.unsigned());
  reader.unsigned();
  const functions = Array.from({ length: reader.unsigned() }, (_, index) => {
    reader.unsigned();
    return new Translation(reader).source(nameOf(index + 1));
  });
  const declared = functions.map((_, index) => `int ${nameOf(index + 1)}(int, int);`);
  return [PROLOGUE, ...declared, ...functions].join('\n');
}

/** @param index Of the function in the module. */
const nameOf = (index: number): string => (index === 1 ? 'run' : `part${index}`);

const CODE_SECTION = 10;
const F64 = 0x7c;
const VOID_BLOCK_BYTES = 1;

/** Operations with two operands from the stack, by instruction: arithmetic, comparisons, then integers. */
const BINARY: Readonly<Record<number, (a: string, b: string) => string>> = {
  160: (a, b) => `(${a} + ${b})`,
  161: (a, b) => `(${a} - ${b})`,
  162: (a, b) => `(${a} * ${b})`,
  163: (a, b) => `(${a} / ${b})`,
  164: (a, b) => `least(${a}, ${b})`,
  165: (a, b) => `greatest(${a}, ${b})`,
  97: (a, b) => `(${a} == ${b})`,
  98: (a, b) => `(${a} != ${b})`,
  99: (a, b) => `(${a} < ${b})`,
  100: (a, b) => `(${a} > ${b})`,
  101: (a, b) => `(${a} <= ${b})`,
  102: (a, b) => `(${a} >= ${b})`,
  166: (a, b) => `copysign(${a}, ${b})`,
  106: (a, b) => `(${a} + ${b})`,
  107: (a, b) => `(${a} - ${b})`,
  72: (a, b) => `(${a} < ${b})`,
  78: (a, b) => `(${a} >= ${b})`,
  113: (a, b) => `(${a} & ${b})`,
  114: (a, b) => `(${a} | ${b})`,
  116: (a, b) => `(${a} << ${b})`,
  124: (a, b) => `(${a} + ${b})`,
  134: (a, b) => `(int64_t)((uint64_t)${a} << ${b})`,
  136: (a, b) => `(int64_t)((uint64_t)${a} >> ${b})`,
};

const UNARY: Readonly<Record<number, (a: string) => string>> = {
  153: (a) => `fabs(${a})`,
  154: (a) => `(-${a})`,
  155: (a) => `ceil(${a})`,
  156: (a) => `floor(${a})`,
  157: (a) => `trunc(${a})`,
  158: (a) => `rint(${a})`,
  159: (a) => `sqrt(${a})`,
  69: (a) => `(${a} == 0)`,
  183: (a) => `((double)${a})`,
  167: (a) => `((int)${a})`,
  189: (a) => `as_bits(${a})`,
  191: (a) => `as_double(${a})`,
};

const PROLOGUE = `#include <math.h>
#include <stdint.h>
#include <string.h>
extern unsigned char memory[];
static inline double least(double a, double b) { return a < b ? a : b; }
static inline double greatest(double a, double b) { return a > b ? a : b; }
typedef int64_t __attribute__((may_alias)) bits_of;
static inline double as_double(int64_t bits) { double value; memcpy(&value, &bits, 8); return value; }
static inline int64_t as_bits(double value) { int64_t bits; memcpy(&bits, &value, 8); return bits; }
`;

class Translation {
  readonly #reader: ByteReader;
  readonly #lines: string[] = [];
  readonly #stack: string[] = [];
  /** Open blocks, the innermost last: the label to which a branch out of each goes. */
  readonly #labels: { readonly label: string; readonly isLoop: boolean; readonly isConditional: boolean }[] =
    [];
  #labelCount = 0;

  constructor(reader: ByteReader) {
    this.#reader = reader;
  }

  source(name: string): string {
    this.#declareLocals();
    this.#labels.push({ label: 'end', isLoop: false, isConditional: false });
    while (this.#labels.length > 0) this.#instruction();
    return `int ${name}(int v0, int v1) {\n${this.#lines.join('\n')}\nreturn ${this.#stack.pop() ?? 'v1'};\n}\n`;
  }

  #declareLocals(): void {
    let next = 2;
    for (let group = this.#reader.unsigned(); group > 0; group--) {
      const count = this.#reader.unsigned();
      const type = this.#reader.byte() === F64 ? 'double' : 'int';
      for (let index = 0; index < count; index++) this.#lines.push(`${type} v${next++} = 0;`);
    }
  }

  #pop(): string {
    return this.#stack.pop() ?? '';
  }

  #instruction(): void {
    const code = this.#reader.byte();
    const binary = BINARY[code];
    const unary = UNARY[code];
    if (binary) {
      const second = this.#pop();
      this.#stack.push(binary(this.#pop(), second));
    } else if (unary) this.#stack.push(unary(this.#pop()));
    else if (!this.#operand(code) && !this.#memoryAccess(code) && !this.#flow(code)) {
      throw new RangeError(`the emitter does not use instruction 0x${code.toString(16)}`);
    }
  }

  /** Constants, variables, choice, conversion and call. */
  #operand(code: number): boolean {
    const reader = this.#reader;
    if (code === 0x20) this.#stack.push(`v${reader.unsigned()}`);
    else if (code === 0x21) this.#lines.push(`v${reader.unsigned()} = ${this.#pop()};`);
    else if (code === 0x22) this.#tee(`v${reader.unsigned()}`);
    else if (code === 0x41) this.#stack.push(`${reader.signed()}`);
    else if (code === 0x42) this.#stack.push(`${reader.signed()}LL`);
    else if (code === 0x44) this.#stack.push(literal(reader.double()));
    else if (code === 0x1b) {
      const condition = this.#pop();
      const whenFalse = this.#pop();
      this.#stack.push(`(${condition} ? ${this.#pop()} : ${whenFalse})`);
    } else if (code === 0xfc) {
      reader.byte();
      this.#stack.push(`((int64_t)${this.#pop()})`);
    } else if (code === 0x10) this.#call(reader.unsigned());
    else return false;
    return true;
  }

  #tee(variable: string): void {
    this.#lines.push(`${variable} = ${this.#pop()};`);
    this.#stack.push(variable);
  }

  #call(index: number): void {
    const last = this.#pop();
    this.#stack.push(index === 0 ? `log(${last})` : `${nameOf(index)}(${this.#pop()}, ${last})`);
  }

  #memoryAccess(code: number): boolean {
    if (code !== 0x29 && code !== 0x2b && code !== 0x39) return false;
    this.#reader.unsigned();
    const address = this.#reader.unsigned();
    const value = code === 0x39 ? this.#pop() : '';
    const place = `*(${code === 0x29 ? 'bits_of' : 'double'} *)(memory + ${address} + ${this.#pop()})`;
    if (code === 0x39) this.#lines.push(`${place} = ${value};`);
    else this.#stack.push(`(${place})`);
    return true;
  }

  #flow(code: number): boolean {
    const labels = this.#labels;
    if (code === 0x02 || code === 0x03 || code === 0x04) {
      this.#reader.skip(VOID_BLOCK_BYTES);
      const label = `label${this.#labelCount++}`;
      labels.push({ label, isLoop: code === 0x03, isConditional: code === 0x04 });
      if (code === 0x04) this.#lines.push(`if (${this.#pop()}) {`);
      if (code === 0x03) this.#lines.push(`${label}:;`);
    } else if (code === 0x05) this.#lines.push('} else {');
    else if (code === 0x0d) {
      const { label } = labels[labels.length - 1 - this.#reader.unsigned()]!;
      this.#lines.push(`if (${this.#pop()}) goto ${label};`);
    } else if (code === 0x0f) this.#lines.push(`return ${this.#pop()};`);
    else if (code === 0x0b) {
      const { label, isLoop, isConditional } = labels.pop()!;
      if (isConditional) this.#lines.push('}');
      if (!isLoop) this.#lines.push(`${label}:;`);
    } else return false;
    return true;
  }
}

function literal(value: number): string {
  if (value === Number.POSITIVE_INFINITY) return 'INFINITY';
  const text = String(value);
  return /[.e]/.test(text) ? text : `${text}.0`;
}

class ByteReader {
  readonly #bytes: Uint8Array;
  #at: number;

  constructor(bytes: Uint8Array, start: number) {
    this.#bytes = bytes;
    this.#at = start;
  }

  byte(): number {
    return this.#bytes[this.#at++]!;
  }

  skip(count: number): void {
    this.#at += count;
  }

  double(): number {
    this.#at += 8;
    return new DataView(this.#bytes.buffer, this.#bytes.byteOffset + this.#at - 8).getFloat64(0, true);
  }

  /** LEB128. */
  unsigned(): number {
    let value = 0;
    for (let shift = 0; ; shift += 7) {
      const byte = this.byte();
      value += (byte & 0x7f) * 2 ** shift;
      if (byte < 0x80) return value;
    }
  }

  signed(): number {
    let value = 0;
    for (let shift = 0; ; shift += 7) {
      const byte = this.byte();
      value += (byte & 0x7f) * 2 ** shift;
      if (byte < 0x80) return byte & 0x40 ? value - 2 ** (shift + 7) : value;
    }
  }
}
