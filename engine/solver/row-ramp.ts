import type { BlockMemory } from './block-memory.ts';

/**
 * Takes the rows of a block from where they stand to those of a changed value in equal steps, which cost a small part
 * of deriving them.
 *
 * Real-time safe but for the constructor.
 */
export class RowRamp {
  readonly #rows: Float64Array;
  readonly #from: Float64Array;
  readonly #to: Float64Array;
  readonly #probeStart: number;
  #steps = 0;
  #stepsLeft = 0;

  /** @param memory Whose port, state, output, meter and probe rows stand one behind the other. */
  constructor({ portRows, stateRows, outputRows, meterRows, probeRow }: BlockMemory) {
    this.#probeStart = portRows.length + stateRows.length + outputRows.length + meterRows.length;
    const length = this.#probeStart + probeRow.length;
    this.#rows = new Float64Array(portRows.buffer, portRows.byteOffset, length);
    this.#from = new Float64Array(length);
    this.#to = new Float64Array(length);
  }

  get isUnderWay(): boolean {
    return this.#stepsLeft > 0;
  }

  /** Keeps the rows as they stand; to be called before they are derived anew. */
  leave(): void {
    for (let entry = 0; entry < this.#rows.length; entry++) this.#from[entry] = this.#rows[entry]!;
  }

  /** Puts the rows back to where they were left; so many calls of `advance` take them to what they are now. */
  aim(steps: number): void {
    for (let entry = 0; entry < this.#rows.length; entry++) {
      this.#to[entry] = this.#rows[entry]!;
      // From what is no number there is no way: it is left at once.
      if (Number.isFinite(this.#from[entry]!)) this.#rows[entry] = this.#from[entry]!;
      else this.#from[entry] = this.#rows[entry]!;
    }
    this.#steps = steps;
    this.#stepsLeft = steps;
  }

  /** The row of another probe has been written: it stays as it is until the rows are derived next. */
  holdProbe(): void {
    for (let entry = this.#probeStart; entry < this.#rows.length; entry++) {
      this.#from[entry] = this.#rows[entry]!;
      this.#to[entry] = this.#rows[entry]!;
    }
  }

  /** The rows stay where they are. */
  stop(): void {
    this.#stepsLeft = 0;
  }

  /** One step, the last one exactly to the end; nothing where none is left. */
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
