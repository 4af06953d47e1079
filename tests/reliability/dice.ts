import { uniform } from '../unit/small-networks.ts';

/** Draws by a seed: the same again for the same. */
export class Dice {
  /** A number in [0, 1). */
  readonly draw: () => number;

  constructor(seed: number) {
    this.draw = uniform(seed);
    // The first numbers of neighbouring seeds lie close together.
    for (let n = 0; n < 8; n++) this.draw();
  }

  pick<T>(list: readonly T[]): T {
    return list[this.below(list.length)]!;
  }

  /** A whole number from 0 to below another. */
  below(end: number): number {
    return Math.min(end - 1, Math.floor(this.draw() * end));
  }

  /** One to so many, small ones more often. */
  few(most: number): number {
    return 1 + Math.floor(most * this.draw() ** 3);
  }
}
