/**
 * The encoding of WebAssembly modules.
 *
 * @see WebAssembly Core Specification 2.0 (W3C), chapter 5
 */

export const TYPE = { integer: 0x7f, double: 0x7c, vector: 0x7b, none: 0x40 } as const;

/** A function's body as bytes, and the types of its variables after the parameters. */
export interface FunctionBody {
  readonly localTypes: readonly number[];
  readonly code: readonly number[];
}

export interface ModuleData {
  /** Pages of 64 KiB. */
  readonly pages: number;
  /** Byte address of the constants. */
  readonly address: number;
  readonly constants: readonly number[];
}

/** Index of the function behind the exported one. */
export const FIRST_SEGMENT = 2;

/**
 * A module with functions (i32, i32) → i32, of which the first is exported as `run`, one exported memory that holds constants, and
 * `Math.log` imported as function 0.
 */
export function encodeModule(
  functions: readonly FunctionBody[],
  { pages, address, constants }: ModuleData,
): Uint8Array {
  const section = (id: number, content: readonly number[]) => [id, ...unsigned(content.length), ...content];
  const name = (text: string) => [text.length, ...[...text].map((letter) => letter.charCodeAt(0))];
  const { integer, double } = TYPE;
  const bytes = constants.flatMap(doubleBytes);
  const bodies = functions.flatMap(({ localTypes, code }) => {
    const locals = localTypes.flatMap((type) => [1, type]);
    const body = [...unsigned(localTypes.length), ...locals, ...code, 0x0b];
    return [unsigned(body.length), body];
  });
  const count = unsigned(functions.length);
  return Uint8Array.from([
    ...[0x00, 0x61, 0x73, 0x6d, 0x01, 0x00, 0x00, 0x00],
    ...section(1, [2, 0x60, 1, double, 1, double, 0x60, 2, integer, integer, 1, integer]),
    ...section(2, [1, ...name('math'), ...name('log'), 0x00, 0]),
    ...section(3, [...count, ...functions.map(() => 1)]),
    ...section(5, [1, 0x00, ...unsigned(pages)]),
    ...section(7, [2, ...name('run'), 0x00, 1, ...name('memory'), 0x02, 0]),
    ...section(10, [...count, ...bodies.flat()]),
    ...section(11, [1, 0x00, 0x41, ...signed(address), 0x0b, ...unsigned(bytes.length), ...bytes]),
  ]);
}

export function doubleBytes(value: number): number[] {
  const bytes = new Uint8Array(8);
  new DataView(bytes.buffer).setFloat64(0, value, true);
  return [...bytes];
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
