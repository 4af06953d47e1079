import type { CircuitMemory } from './circuit-memory.ts';
import type { CircuitSimulator } from './circuit-simulator.ts';
import { instantiatePair, type PairedLoop } from './emit/emitted-loop.ts';

/**
 * Two simulators with circuits of one structure, solved together in less than twice the time of one. Each keeps
 * its own memory, which is up to date after every call, so that each can be reset, changed or run alone between
 * two calls. The constructor allocates; `process` is real-time safe.
 */
export class PairedSimulators {
  readonly #a: CircuitSimulator;
  readonly #b: CircuitSimulator;
  readonly #loop: PairedLoop;
  /** Start and length of the ranges that solving changes. */
  readonly #moving: Int32Array;
  /** Revision of A and B when all their numbers were last copied. */
  readonly #revisions = Int32Array.of(-1, -1);

  /** @returns Undefined if their structures or rates differ, or if there is no code for a pair. */
  static of(a: CircuitSimulator, b: CircuitSimulator): PairedSimulators | undefined {
    const module = a.circuit.pairModule ?? b.circuit.pairModule;
    const areAlike =
      a.circuit.structureKey === b.circuit.structureKey && a.circuit.sampleRateHz === b.circuit.sampleRateHz;
    return areAlike && module ? new PairedSimulators(a, b, instantiatePair(module)) : undefined;
  }

  private constructor(a: CircuitSimulator, b: CircuitSimulator, loop: PairedLoop) {
    this.#a = a;
    this.#b = b;
    this.#loop = loop;
    this.#moving = movingRanges(a.memory);
  }

  /** Like `process` of each. */
  process(
    inputA: Float64Array,
    outputA: Float64Array,
    probedA: Float64Array | undefined,
    inputB: Float64Array,
    outputB: Float64Array,
    probedB: Float64Array | undefined,
    frames: number,
  ): void {
    const { memory: a } = this.#a;
    const { memory: b } = this.#b;
    const { numbers } = this.#loop;
    let done = 0;
    while (done < frames) {
      const chunk = this.#b.prepareChunk(this.#a.prepareChunk(frames - done));
      this.#a.beginChunk(chunk);
      this.#b.beginChunk(chunk);
      this.#load();
      interleave(inputA, inputB, done, numbers, a.inputStart, chunk);
      if (this.#loop.run(0, chunk) === chunk) {
        this.#keep();
        if (probedA || probedB) {
          separate(numbers, a.inputStart, a.input, b.input, 0, chunk);
          separate(numbers, a.probeStart, a.probe, b.probe, 0, chunk);
        }
        if (probedA) this.#a.readProbe(probedA, done, chunk);
        if (probedB) this.#b.readProbe(probedB, done, chunk);
        separate(numbers, a.outputStart, outputA, outputB, done, chunk);
      } else {
        // A number was not finite. Nothing is copied back, and each simulator recovers alone.
        this.#a.solveChunk(inputA, outputA, done, chunk, probedA);
        this.#b.solveChunk(inputB, outputB, done, chunk, probedB);
      }
      done += chunk;
    }
  }

  /** Copies the numbers of both; those that only change from outside, only after such a change. */
  #load(): void {
    const { numbers } = this.#loop;
    const { memory: a, revision: revisionA } = this.#a;
    const { memory: b, revision: revisionB } = this.#b;
    if (revisionA !== this.#revisions[0] || revisionB !== this.#revisions[1]) {
      this.#revisions[0] = revisionA;
      this.#revisions[1] = revisionB;
      interleave(a.all, b.all, a.numbersStart, numbers, a.numbersStart, a.all.length - a.numbersStart);
      return;
    }
    for (let range = 0; range < this.#moving.length; range += 2) {
      const start = this.#moving[range]!;
      interleave(a.all, b.all, start, numbers, start, this.#moving[range + 1]!);
    }
  }

  /** Copies back what the chunk has changed. */
  #keep(): void {
    for (let range = 0; range < this.#moving.length; range += 2) {
      const start = this.#moving[range]!;
      separate(
        this.#loop.numbers,
        start,
        this.#a.memory.all,
        this.#b.memory.all,
        start,
        this.#moving[range + 1]!,
      );
    }
    this.#a.flush();
    this.#b.flush();
  }
}

/** Joins adjacent ranges. */
function movingRanges({ known, railCurrents, loadPast, blocks }: CircuitMemory): Int32Array {
  const arrays = [known, railCurrents, loadPast, ...blocks.flatMap((block) => block.moving)]
    .filter(({ length }) => length > 0)
    .sort((one, other) => one.byteOffset - other.byteOffset);
  const ranges: number[] = [];
  for (const { byteOffset, length } of arrays) {
    const start = byteOffset / Float64Array.BYTES_PER_ELEMENT;
    const last = ranges.length - 2;
    if (last >= 0 && ranges[last]! + ranges[last + 1]! === start) ranges[last + 1]! += length;
    else ranges.push(start, length);
  }
  return Int32Array.from(ranges);
}

/** Interleaves a range of two arrays: number n of each goes to 2n and 2n + 1. */
function interleave(
  a: Float64Array,
  b: Float64Array,
  start: number,
  pair: Float64Array,
  pairStart: number,
  length: number,
): void {
  for (let n = 0; n < length; n++) {
    pair[2 * (pairStart + n)] = a[start + n]!;
    pair[2 * (pairStart + n) + 1] = b[start + n]!;
  }
}

/** The reverse of {@link interleave}. */
function separate(
  pair: Float64Array,
  pairStart: number,
  a: Float64Array,
  b: Float64Array,
  start: number,
  length: number,
): void {
  for (let n = 0; n < length; n++) {
    a[start + n] = pair[2 * (pairStart + n)]!;
    b[start + n] = pair[2 * (pairStart + n) + 1]!;
  }
}
