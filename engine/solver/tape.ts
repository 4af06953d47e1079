import { STEPS_PER_OCTAVE } from './emit/expression.ts';

/**
 * A function as a list of instructions over one array of doubles. It evaluates the emitted tree with numbers,
 * where that is needed seldom or where an engine refuses the WebAssembly. Every operand is the index of a
 * double; conditions are 1 or 0, integers are whole doubles.
 */
export interface Tape {
  /** Instructions one after the other: an {@link OPERATION}, then the indices of its operands and, for a jump, its target. */
  readonly code: Int32Array;
  /** Constants, to be copied into the array at `constantsStart`. */
  readonly constants: Float64Array;
  readonly constantsStart: number;
  /** Index of the first parameter; intermediate results follow. */
  readonly registersStart: number;
  /** Length of the array. */
  readonly size: number;
}

/** Instructions and their operands; `to` is the index that is written, `next` an index in the code. */
export const OPERATION = {
  /** to, from */
  copy: 0,
  /** to, a, b */
  add: 1,
  subtract: 2,
  multiply: 3,
  divide: 4,
  minimum: 5,
  maximum: 6,
  equal: 7,
  less: 8,
  greater: 9,
  greaterOrEqual: 10,
  both: 11,
  either: 12,
  /** to, a */
  absolute: 13,
  negate: 14,
  squareRoot: 15,
  not: 16,
  logarithm: 17,
  /** to, when true, when false, condition */
  select: 18,
  /** to, shifted, place of the table: see `tablePower` in expression.ts */
  tablePower: 19,
  /** to, bytes, place that they are added to */
  loadAt: 20,
  /** bytes, place that they are added to, from */
  storeAt: 21,
  /** next */
  jump: 22,
  /** condition, next */
  jumpUnless: 23,
  jumpIf: 24,
  /** from */
  return: 25,
} as const;

const STEP_BITS = Math.log2(STEPS_PER_OCTAVE);
const BYTES = Float64Array.BYTES_PER_ELEMENT;
const EXPONENT_PLACE = 20;

/** A number and its two halves as integers, the low half first (little-endian, as WebAssembly's memory is). */
const bits = new Float64Array(1);
const halves = new Int32Array(bits.buffer);

/** Copies the constants into the array. */
export function loadTape({ constants, constantsStart }: Tape, numbers: Float64Array): void {
  numbers.set(constants, constantsStart);
}

/**
 * Runs a tape with up to two parameters. Real-time safe.
 *
 * @param m At least `size` doubles, with the constants loaded. @returns The result of the function; 0 if it has none.
 */
export function runTape(
  { code, registersStart }: Tape,
  m: Float64Array,
  first: number,
  second: number,
): number {
  m[registersStart] = first;
  m[registersStart + 1] = second;
  const end = code.length;
  let at = 0;
  while (at < end) {
    const to = code[at + 1]!;
    switch (code[at]) {
      case OPERATION.copy:
        m[to] = m[code[at + 2]!]!;
        at += 3;
        break;
      case OPERATION.add:
        m[to] = m[code[at + 2]!]! + m[code[at + 3]!]!;
        at += 4;
        break;
      case OPERATION.subtract:
        m[to] = m[code[at + 2]!]! - m[code[at + 3]!]!;
        at += 4;
        break;
      case OPERATION.multiply:
        m[to] = m[code[at + 2]!]! * m[code[at + 3]!]!;
        at += 4;
        break;
      case OPERATION.divide:
        m[to] = m[code[at + 2]!]! / m[code[at + 3]!]!;
        at += 4;
        break;
      case OPERATION.minimum:
        m[to] = Math.min(m[code[at + 2]!]!, m[code[at + 3]!]!);
        at += 4;
        break;
      case OPERATION.maximum:
        m[to] = Math.max(m[code[at + 2]!]!, m[code[at + 3]!]!);
        at += 4;
        break;
      case OPERATION.equal:
        m[to] = m[code[at + 2]!]! === m[code[at + 3]!]! ? 1 : 0;
        at += 4;
        break;
      case OPERATION.less:
        m[to] = m[code[at + 2]!]! < m[code[at + 3]!]! ? 1 : 0;
        at += 4;
        break;
      case OPERATION.greater:
        m[to] = m[code[at + 2]!]! > m[code[at + 3]!]! ? 1 : 0;
        at += 4;
        break;
      case OPERATION.greaterOrEqual:
        m[to] = m[code[at + 2]!]! >= m[code[at + 3]!]! ? 1 : 0;
        at += 4;
        break;
      case OPERATION.both:
        m[to] = m[code[at + 2]!] === 1 && m[code[at + 3]!] === 1 ? 1 : 0;
        at += 4;
        break;
      case OPERATION.either:
        m[to] = m[code[at + 2]!] === 1 || m[code[at + 3]!] === 1 ? 1 : 0;
        at += 4;
        break;
      case OPERATION.absolute:
        m[to] = Math.abs(m[code[at + 2]!]!);
        at += 3;
        break;
      case OPERATION.negate:
        m[to] = -m[code[at + 2]!]!;
        at += 3;
        break;
      case OPERATION.squareRoot:
        m[to] = Math.sqrt(m[code[at + 2]!]!);
        at += 3;
        break;
      case OPERATION.not:
        m[to] = m[code[at + 2]!] === 0 ? 1 : 0;
        at += 3;
        break;
      case OPERATION.logarithm:
        m[to] = Math.log(m[code[at + 2]!]!);
        at += 3;
        break;
      case OPERATION.select:
        m[to] = m[code[at + 4]!] === 0 ? m[code[at + 3]!]! : m[code[at + 2]!]!;
        at += 5;
        break;
      case OPERATION.tablePower: {
        bits[0] = m[code[at + 2]!]!;
        const steps = halves[0]!;
        bits[0] = m[code[at + 3]! + (steps & (STEPS_PER_OCTAVE - 1))]!;
        halves[1]! += (steps >> STEP_BITS) << EXPONENT_PLACE;
        m[to] = bits[0]!;
        at += 4;
        break;
      }
      case OPERATION.loadAt:
        m[to] = m[code[at + 3]! + m[code[at + 2]!]! / BYTES]!;
        at += 4;
        break;
      case OPERATION.storeAt:
        m[code[at + 2]! + m[to]! / BYTES] = m[code[at + 3]!]!;
        at += 4;
        break;
      case OPERATION.jump:
        at = to;
        break;
      case OPERATION.jumpUnless:
        at = m[to] === 0 ? code[at + 2]! : at + 3;
        break;
      case OPERATION.jumpIf:
        at = m[to] === 0 ? at + 3 : code[at + 2]!;
        break;
      default:
        return m[to]!;
    }
  }
  return 0;
}
