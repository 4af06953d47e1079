import { uniform } from '../unit/small-networks.ts';

/** Random numbers from a seed: the same for the same seed. */
export class Dice {
  /** A number in [0, 1). */
  readonly draw: () => number;

  constructor(seed: number) {
    this.draw = uniform(seed);
    // The first numbers of neighbouring seeds are close together.
    for (let n = 0; n < 8; n++) this.draw();
  }

  pick<T>(list: readonly T[]): T {
    return list[this.below(list.length)]!;
  }

  /** A whole number from 0 up to, but not including, another. */
  below(end: number): number {
    return Math.min(end - 1, Math.floor(this.draw() * end));
  }

  /** A whole number from one up to another; small ones are more frequent. */
  few(most: number): number {
    return 1 + Math.floor(most * this.draw() ** 3);
  }
}
