import type { BlockMemory } from './block-memory.ts';

/**
 * Moves the rows of a block from the present ones to those of a changed value in equal steps, at a small part
 * of the cost of computing them.
 *
 * Real-time safe except the constructor.
 */
export class RowRamp {
  readonly #rows: Float64Array;
  readonly #from: Float64Array;
  readonly #to: Float64Array;
  readonly #probeStart: number;
  #steps = 0;
  #stepsLeft = 0;

  /** @param memory Its conductances, and its port, state, output, meter and probe rows, lie one after the other. */
  constructor({ nodalStates, probeRow }: BlockMemory) {
    this.#probeStart = (probeRow.byteOffset - nodalStates.byteOffset) / Float64Array.BYTES_PER_ELEMENT;
    const length = this.#probeStart + probeRow.length;
    this.#rows = new Float64Array(nodalStates.buffer, nodalStates.byteOffset, length);
    this.#from = new Float64Array(length);
    this.#to = new Float64Array(length);
  }

  get isUnderWay(): boolean {
    return this.#stepsLeft > 0;
  }

  /** Stores the present rows; to be called before they are computed again. */
  leave(): void {
    for (let entry = 0; entry < this.#rows.length; entry++) this.#from[entry] = this.#rows[entry]!;
  }

  /** Sets the rows back to the stored ones; after the given number of calls of `advance` they are the new ones. */
  aim(steps: number): void {
    for (let entry = 0; entry < this.#rows.length; entry++) {
      this.#to[entry] = this.#rows[entry]!;
      // A row that is not a number cannot be interpolated: the new one is set at once.
      if (Number.isFinite(this.#from[entry]!)) this.#rows[entry] = this.#from[entry]!;
      else this.#from[entry] = this.#rows[entry]!;
    }
    this.#steps = steps;
    this.#stepsLeft = steps;
  }

  /** Another probe's row was written: it stays until the rows are computed again. */
  holdProbe(): void {
    for (let entry = this.#probeStart; entry < this.#rows.length; entry++) {
      this.#from[entry] = this.#rows[entry]!;
      this.#to[entry] = this.#rows[entry]!;
    }
  }

  /** Stops the ramp. */
  stop(): void {
    this.#stepsLeft = 0;
  }

  /** One step; the last one ends exactly at the target. Does nothing after that. */
  advance(): void {
    if (this.#stepsLeft === 0) return;
    this.#stepsLeft--;
    const share = this.#stepsLeft / this.#steps;
    for (let entry = 0; entry < this.#rows.length; entry++) {
      const to = this.#to[entry]!;
      this.#rows[entry] = to - share * (to - this.#from[entry]!);
    }
  }
}
