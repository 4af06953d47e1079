export interface LevelMeterOptions {
  readonly sampleRateHz: number;
  /** Magnitude from which a sample counts as clipped, V. */
  readonly fullScaleVolts: number;
  /** How many such samples in a row are a clip. */
  readonly clipSamples: number;
  /** Hold time of a peak. */
  readonly peakHoldSeconds: number;
  /** Rate of fall after that. */
  readonly peakFallDbPerSecond: number;
  /** Time constant of the mean square. */
  readonly rmsSeconds: number;
}

/** Common practice for meters read by eye. */
export const METER_BALLISTICS = {
  clipSamples: 3,
  peakHoldSeconds: 1,
  peakFallDbPerSecond: 20,
  rmsSeconds: 0.3,
} as const;

/** Peaks and mean squares below this count as 0; keeps subnormal numbers out. */
const TINY = 1e-30;

/**
 * Peak with hold and fall, RMS by exponential averaging, and clips, one channel in volts. A non-finite
 * sample counts as clipped and leaves the levels alone.
 */
export class LevelMeter {
  readonly #fullScale: number;
  readonly #clipSamples: number;
  readonly #holdSamples: number;
  readonly #fall: number;
  readonly #average: number;
  /** Peak V, samples since it was reached, mean square V², full-scale samples in a row, clips. */
  readonly #state = new Float64Array(5);

  /** Throws RangeError for a rate, level or time that is not positive (hold may be 0). */
  constructor(options: LevelMeterOptions) {
    const { sampleRateHz, fullScaleVolts, clipSamples, peakFallDbPerSecond, rmsSeconds } = options;
    for (const value of [sampleRateHz, fullScaleVolts, clipSamples, peakFallDbPerSecond, rmsSeconds]) {
      if (!(value > 0)) throw new RangeError(`level meter: ${value} must be positive`);
    }
    this.#fullScale = fullScaleVolts;
    this.#clipSamples = clipSamples;
    this.#holdSamples = Math.round(options.peakHoldSeconds * sampleRateHz);
    this.#fall = 10 ** (-peakFallDbPerSecond / (20 * sampleRateHz));
    this.#average = 1 - Math.exp(-1 / (rmsSeconds * sampleRateHz));
  }

  get peakVolts(): number {
    return this.#state[0]!;
  }

  get rmsVolts(): number {
    return Math.sqrt(this.#state[2]!);
  }

  /** Clips since `reset`: runs of full-scale samples, each counted once however long. */
  get clips(): number {
    return this.#state[4]!;
  }

  /** @param input Length ≥ frames, V. Real-time safe. */
  process(input: Float64Array, frames: number): void {
    const state = this.#state;
    for (let n = 0; n < frames; n++) {
      const magnitude = Math.abs(input[n]!);
      this.#countClip(!(magnitude < this.#fullScale));
      if (magnitude - magnitude !== 0) continue;
      const square = state[2]! + this.#average * (magnitude * magnitude - state[2]!);
      state[2] = square < TINY ? 0 : square;
      this.#movePeak(magnitude);
    }
  }

  reset(): void {
    this.#state.fill(0);
  }

  #countClip(full: boolean): void {
    const state = this.#state;
    state[3] = full ? state[3]! + 1 : 0;
    if (state[3] === this.#clipSamples) state[4] = state[4]! + 1;
  }

  #movePeak(magnitude: number): void {
    const state = this.#state;
    const age = state[1]!;
    if (magnitude >= state[0]!) {
      state[0] = magnitude;
      state[1] = 0;
    } else if (age < this.#holdSamples) {
      state[1] = age + 1;
    } else {
      const fallen = state[0]! * this.#fall;
      state[0] = fallen < TINY ? 0 : fallen > magnitude ? fallen : magnitude;
    }
  }
}
