import { A_WEIGHTING_CORNERS_HZ } from './a-weighting.ts';
import { type Biquad, BiquadCascade, cascadeResponseDb } from './biquad.ts';
import { matchedHighPass, matchedLowPass } from './matched-biquad.ts';

/** The weighting is one at 1 kHz. */
const REFERENCE_HZ = 1000;

/**
 * Sum of the squared A-weighted signal, for the level at the ear. The four corners of IEC 61672-1 as matched
 * second-order sections: two poles at f1, those at f2 and f3 as one pair, two at f4.
 */
export class AWeightedPower {
  readonly #sections: BiquadCascade;
  readonly #gain: number;
  readonly #weighted: Float64Array;
  /** Sum of squares, frames. */
  readonly #sums = new Float64Array(2);

  /** @param maxFrames Longest block. Throws RangeError for a rate that cannot hold the corners. */
  constructor(sampleRateHz: number, maxFrames: number) {
    const sections = aWeightingSections(sampleRateHz);
    this.#sections = new BiquadCascade(sections);
    this.#gain = 10 ** (-cascadeResponseDb(sections, REFERENCE_HZ, sampleRateHz) / 20);
    this.#weighted = new Float64Array(maxFrames);
  }

  /** Real-time safe. Input must be finite. */
  process(input: Float64Array, frames: number): void {
    this.#sections.process(input, frames, this.#weighted);
    let sum = 0;
    for (let frame = 0; frame < frames; frame++) sum += this.#weighted[frame]! * this.#weighted[frame]!;
    this.#sums[0]! += this.#gain * this.#gain * sum;
    this.#sums[1]! += frames;
  }

  /** Mean square since it was last taken, in squares of the input's unit; 0 for none. Real-time safe. */
  take(): number {
    const mean = this.#sums[1]! > 0 ? this.#sums[0]! / this.#sums[1]! : 0;
    this.#sums[0] = 0;
    this.#sums[1] = 0;
    return mean;
  }
}

function aWeightingSections(sampleRateHz: number): readonly Biquad[] {
  const [f1, f2, f3, f4] = A_WEIGHTING_CORNERS_HZ;
  const middle = Math.sqrt(f2 * f3);
  return [
    matchedHighPass({ frequencyHz: f1, quality: 0.5, sampleRateHz }),
    matchedHighPass({ frequencyHz: middle, quality: middle / (f2 + f3), sampleRateHz }),
    matchedLowPass({ frequencyHz: f4, quality: 0.5, sampleRateHz }),
  ];
}
