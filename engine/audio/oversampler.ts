import { allpassRoundTripDelay, designAllpassHalfBand, designFirHalfBand } from './half-band.ts';
import {
  AllpassDownStage,
  AllpassUpStage,
  FirDownStage,
  FirUpStage,
  type RateStage,
} from './half-band-stages.ts';

/**
 * How the rate is changed. 'low-latency': allpass half-bands, about 5 samples up and down, but their phase
 * disperses ahead of a nonlinearity, for playing. 'linear-phase': symmetric filters, about 50 samples at
 * 48 kHz and 80 at 44.1 kHz (20 kHz lies closer to the edge there), for rendering and comparing.
 */
export type ResamplingQuality = 'low-latency' | 'linear-phase';

export type OversamplingFactor = 1 | 2 | 4 | 8 | 16 | 32 | 64 | 128 | 256;

export const OVERSAMPLING_FACTORS: readonly OversamplingFactor[] = [1, 2, 4, 8, 16, 32, 64, 128, 256];

export interface OversamplingOptions {
  readonly factor: OversamplingFactor;
  readonly quality: ResamplingQuality;
  /** The base rate, Hz. */
  readonly sampleRateHz: number;
}

/** Longest block is in samples of the base rate. */
export interface OversamplerOptions extends OversamplingOptions {
  readonly maxFrames: number;
}

/** Images and aliases of the pass band stay below −100 dB; the margin covers the sum over stages. */
const ATTENUATION_DB = 102;

/** Where the group delay of the allpass filters is stated, Hz: the middle of a guitar's range. */
const LATENCY_FREQUENCY_HZ = 1000;

/**
 * Delay of upsampling and downsampling together, samples of the base rate. A whole number for
 * 'linear-phase'; for 'low-latency' the group delay at 1 kHz.
 * Throws RangeError for an unknown factor or a rate that is not positive.
 */
export function oversamplingLatencySamples(options: OversamplingOptions): number {
  checkOptions(options);
  let samples = options.quality === 'linear-phase' ? firPadding(options) / options.factor : 0;
  for (let stage = 0; 2 ** stage < options.factor; stage++) {
    samples += stageDelay(options, stage) / 2 ** stage;
  }
  return samples;
}

/** Raises the sample rate by the factor; gain one below 20 kHz. */
export class Upsampler {
  readonly #cascade: Cascade;

  /** Throws RangeError for an unknown factor, rate or block length. */
  constructor(options: OversamplerOptions) {
    checkOptions(options);
    this.#cascade = new Cascade(options, (stage, maxFrames) => upStage(options, stage, maxFrames));
  }

  /**
   * @param input Base rate, length ≥ frames. May not be the output.
   * @param frames Samples at the base rate, ≤ maxFrames.
   * @param output Length ≥ frames · factor. Overwritten.
   * Input must be finite: a non-finite sample stays in the filters until `reset`. Real-time safe.
   */
  process(input: Float64Array, frames: number, output: Float64Array): void {
    this.#cascade.raise(input, frames, output);
  }

  reset(): void {
    this.#cascade.reset();
  }
}

/** Lowers the sample rate by the factor; what would alias below 20 kHz is removed first. */
export class Downsampler {
  readonly #cascade: Cascade;

  /** Throws RangeError for an unknown factor, rate or block length. */
  constructor(options: OversamplerOptions) {
    checkOptions(options);
    this.#cascade = new Cascade(options, (stage, maxFrames) => downStage(options, stage, maxFrames));
  }

  /**
   * @param input Length ≥ frames · factor. May not be the output.
   * @param frames Samples at the base rate, ≤ maxFrames.
   * @param output Base rate, length ≥ frames. Overwritten.
   * Input must be finite: a non-finite sample stays in the filters until `reset`. Real-time safe.
   */
  process(input: Float64Array, frames: number, output: Float64Array): void {
    this.#cascade.lower(input, frames, output);
  }

  reset(): void {
    this.#cascade.reset();
  }
}

/** Stages in the order of their rate, lowest first, with a buffer at each rate between two stages. */
class Cascade {
  readonly #stages: RateStage[] = [];
  readonly #between: Float64Array[] = [];

  constructor(options: OversamplerOptions, makeStage: (stage: number, maxFrames: number) => RateStage) {
    for (let stage = 0; 2 ** stage < options.factor; stage++) {
      this.#stages.push(makeStage(stage, options.maxFrames * 2 ** stage));
      this.#between.push(new Float64Array(options.maxFrames * 2 ** (stage + 1)));
    }
  }

  raise(input: Float64Array, frames: number, output: Float64Array): void {
    const last = this.#stages.length - 1;
    if (last < 0) copy(input, frames, output);
    let source = input;
    for (let stage = 0; stage <= last; stage++) {
      const target = stage === last ? output : this.#between[stage]!;
      this.#stages[stage]!.process(source, frames * (1 << stage), target);
      source = target;
    }
  }

  lower(input: Float64Array, frames: number, output: Float64Array): void {
    const last = this.#stages.length - 1;
    if (last < 0) copy(input, frames, output);
    let source = input;
    for (let stage = last; stage >= 0; stage--) {
      const target = stage === 0 ? output : this.#between[stage - 1]!;
      this.#stages[stage]!.process(source, frames * (1 << stage), target);
      source = target;
    }
  }

  reset(): void {
    for (let stage = 0; stage < this.#stages.length; stage++) this.#stages[stage]!.reset();
  }
}

function copy(input: Float64Array, frames: number, output: Float64Array): void {
  for (let n = 0; n < frames; n++) output[n] = input[n]!;
}

/**
 * End of the pass band, Hz: the audible 20 kHz, or 80 % of the band at higher base rates; 90 % of it at
 * rates too low for 20 kHz.
 */
function passEdgeHz(sampleRateHz: number): number {
  return sampleRateHz < 44100 ? 0.45 * sampleRateHz : Math.max(20000, 0.4 * sampleRateHz);
}

/** Transition width of a stage, relative to its higher rate: narrow in the first, wide in the later ones. */
function transition(sampleRateHz: number, stage: number): number {
  return 2 * (0.25 - passEdgeHz(sampleRateHz) / (sampleRateHz * 2 ** (stage + 1)));
}

function firTaps(options: OversamplingOptions, stage: number): Float64Array {
  return designFirHalfBand(ATTENUATION_DB, transition(options.sampleRateHz, stage));
}

function upStage(options: OversamplingOptions, stage: number, maxFrames: number): RateStage {
  if (options.quality === 'linear-phase') return new FirUpStage(firTaps(options, stage), maxFrames);
  const width = transition(options.sampleRateHz, stage);
  return new AllpassUpStage(designAllpassHalfBand(ATTENUATION_DB, width), maxFrames);
}

function downStage(options: OversamplingOptions, stage: number, maxFrames: number): RateStage {
  if (options.quality === 'linear-phase') {
    const delay = 2 ** (stage + 1) === options.factor ? firPadding(options) / 2 : 0;
    return new FirDownStage(firTaps(options, stage), delay, maxFrames);
  }
  const width = transition(options.sampleRateHz, stage);
  return new AllpassDownStage(designAllpassHalfBand(ATTENUATION_DB, width), maxFrames);
}

/** Delay of one stage up and down, samples of the stage's lower rate. */
function stageDelay(options: OversamplingOptions, stage: number): number {
  if (options.quality === 'linear-phase') return 2 * firTaps(options, stage).length - 1;
  const width = transition(options.sampleRateHz, stage);
  const cycles = LATENCY_FREQUENCY_HZ / (options.sampleRateHz * 2 ** stage);
  return allpassRoundTripDelay(designAllpassHalfBand(ATTENUATION_DB, width), cycles);
}

/**
 * Samples of the highest rate by which the linear-phase path is delayed further to make its latency a whole
 * number of base-rate samples, so that it can be aligned with a dry signal exactly. Always even.
 */
function firPadding(options: OversamplingOptions): number {
  let delay = 0;
  for (let stage = 0; 2 ** stage < options.factor; stage++) {
    delay += (stageDelay(options, stage) * options.factor) / 2 ** stage;
  }
  return (options.factor - (delay % options.factor)) % options.factor;
}

function checkOptions(options: OversamplingOptions & { readonly maxFrames?: number }): void {
  if (!OVERSAMPLING_FACTORS.includes(options.factor)) {
    throw new RangeError(`oversampling factor ${options.factor} must be a power of two up to 256`);
  }
  if (!(options.sampleRateHz > 0)) {
    throw new RangeError(`sample rate ${options.sampleRateHz} Hz must be positive`);
  }
  if (options.maxFrames !== undefined && !(options.maxFrames >= 1)) {
    throw new RangeError(`longest block ${options.maxFrames} must be at least one sample`);
  }
}
