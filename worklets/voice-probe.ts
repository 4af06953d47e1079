import { BiquadCascade } from '../engine/audio/biquad.ts';
import { kWeighting } from '../engine/audio/loudness.ts';
import { Speaker } from '../engine/audio/speaker.ts';

/** Cutoff frequency of the AC coupling of the probe. */
const COUPLING_HZ = 10;
/** Silence until the coupling has settled. */
const WARM_UP_SECONDS = 0.05;
/** The gain is measured over this much signal, updated in steps of the first; silence does not count. */
const FIRST_MEASURE_SECONDS = 0.05;
const MEASURE_SECONDS = 0.5;
/** Mean square of the output that counts as signal, V²: 0.1 mV, and the time over which it is taken. */
const SIGNAL_MEAN_SQUARE = 1e-8;
const SIGNAL_SECONDS = 0.02;
/** Without signal, the output fades to the probe after this time. */
const PATIENCE_SECONDS = 0.15;
const FADE_SECONDS = 0.02;
const GAIN_SMOOTHING_SECONDS = 0.05;
/** Limits of the gain, so that the ripple of a supply is not amplified too much, and for nets of up to a hundred volts. */
const MAX_GAIN = 100;
const MIN_GAIN = 0.001;

const GAIN = 0;
const TARGET = 1;
const COUPLED = 2;
const OUTPUT_ENERGY = 3;
const PROBE_ENERGY = 4;
const LEVEL = 5;

const ON = 0;
const PRESENT = 1;
const ELAPSED = 2;
const MEASURED = 3;
const LEAVING = 4;
/** Lengths of two fades, samples: the probe's share of the output, and the gain of the net. */
const SHARE = 5;
const GATE = 6;

/**
 * The sound of a probed net in place of a build's output: AC-coupled, through the same speaker filter, and as
 * loud as the output, with a gain that is measured over the first half second of signal (K-weighted) and then
 * kept.
 */
export class VoiceProbe {
  readonly #sampleRateHz: number;
  readonly #fadeSamples: number;
  readonly #speaker: Speaker;
  readonly #outputWeighting: BiquadCascade;
  readonly #probeWeighting: BiquadCascade;
  readonly #signal: Float64Array;
  readonly #weightedOutput: Float64Array;
  readonly #weightedProbe: Float64Array;
  readonly #state = new Float64Array(6);
  readonly #counts = new Int32Array(7);

  constructor(sampleRateHz: number, maxFrames: number) {
    this.#sampleRateHz = sampleRateHz;
    this.#fadeSamples = Math.round(FADE_SECONDS * sampleRateHz);
    this.#speaker = new Speaker(sampleRateHz, maxFrames);
    this.#outputWeighting = new BiquadCascade(kWeighting(sampleRateHz));
    this.#probeWeighting = new BiquadCascade(kWeighting(sampleRateHz));
    this.#signal = new Float64Array(maxFrames);
    this.#weightedOutput = new Float64Array(maxFrames);
    this.#weightedProbe = new Float64Array(maxFrames);
  }

  /** Gain of the probed net, dB; −Infinity until it is known. */
  get gainDb(): number {
    const isKnown = this.#counts[ON] === 1 && this.#counts[LEAVING] === 0 && this.#counts[MEASURED]! > 0;
    return isKnown ? 20 * Math.log10(this.#state[TARGET]!) : Number.NEGATIVE_INFINITY;
  }

  /** Whether the probe is audible. */
  get isAudible(): boolean {
    return this.#counts[ON] === 1 || this.#counts[SHARE]! > 0;
  }

  /** Samples until a net is inaudible after `leave` or `release`. */
  get samplesToLeave(): number {
    return this.#counts[ON] === 1 ? this.#counts[GATE]! : this.#counts[SHARE]!;
  }

  /**
   * Sets the probe to a net; the old one must be left first. Real-time safe.
   *
   * @param restV Its DC voltage. @param isPresent False if the build has no such net: then silence.
   */
  choose(restV: number, isPresent: boolean): void {
    const state = this.#state;
    state[OUTPUT_ENERGY] = 0;
    state[PROBE_ENERGY] = 0;
    state[COUPLED] = restV;
    this.#counts.fill(0, 0, SHARE);
    this.#counts[GATE] = 0;
    this.#counts[ON] = 1;
    this.#counts[PRESENT] = isPresent ? 1 : 0;
    this.#speaker.reset();
    this.#probeWeighting.reset();
  }

  /** The DC voltage of the net changes by this many volts, inaudibly. Real-time safe. */
  shift(volts: number): void {
    this.#state[COUPLED]! += volts;
  }

  /** Sets the build's speaker response. Allocates. */
  setSpeaker(response: Float64Array): void {
    this.#speaker.setResponse(response);
  }

  /** Switches the build's speaker. Allocates. */
  setStandIn(isOn: boolean): void {
    this.#speaker.setOn(isOn);
  }

  /** Fades out the net, for another one. */
  leave(): void {
    this.#counts[LEAVING] = 1;
  }

  /** Back to the output. */
  release(): void {
    this.#counts[ON] = 0;
  }

  /**
   * @param volts Voltage of the net. @param shifts Shift of its DC voltage until `shift`, V.
   * @param output The build's output after the speaker filter; replaced by the probe.
   */
  process(volts: Float64Array, shifts: Float64Array, output: Float64Array, frames: number): void {
    this.#couple(volts, shifts, frames);
    this.#speaker.process(this.#signal, frames, this.#signal);
    this.#outputWeighting.process(output, frames, this.#weightedOutput);
    this.#probeWeighting.process(this.#signal, frames, this.#weightedProbe);
    for (let frame = 0; frame < frames; frame++) {
      this.#measure(frame);
      this.#mix(output, frame);
    }
  }

  #couple(volts: Float64Array, shifts: Float64Array, frames: number): void {
    const share = 1 - Math.exp((-2 * Math.PI * COUPLING_HZ) / this.#sampleRateHz);
    const state = this.#state;
    for (let frame = 0; frame < frames; frame++) {
      const moved = volts[frame]! - shifts[frame]!;
      state[COUPLED]! += share * (moved - state[COUPLED]!);
      this.#signal[frame] = moved - state[COUPLED]!;
    }
  }

  #measure(frame: number): void {
    const state = this.#state;
    const counts = this.#counts;
    const rate = this.#sampleRateHz;
    if (counts[PRESENT] === 0 || counts[MEASURED]! >= MEASURE_SECONDS * rate) return;
    const square = this.#weightedOutput[frame]! * this.#weightedOutput[frame]!;
    state[LEVEL]! += (square - state[LEVEL]!) / (SIGNAL_SECONDS * rate);
    if (counts[ELAPSED]! < WARM_UP_SECONDS * rate || state[LEVEL]! < SIGNAL_MEAN_SQUARE) return;
    state[OUTPUT_ENERGY]! += square;
    state[PROBE_ENERGY]! += this.#weightedProbe[frame]! * this.#weightedProbe[frame]!;
    counts[MEASURED]!++;
    const step = Math.round(FIRST_MEASURE_SECONDS * rate);
    if (counts[MEASURED]! % step !== 0) return;
    let gain = Math.sqrt(state[OUTPUT_ENERGY]! / state[PROBE_ENERGY]!);
    // Also for a silent net, whose quotient is not finite.
    if (!(gain < MAX_GAIN)) gain = MAX_GAIN;
    if (gain < MIN_GAIN) gain = MIN_GAIN;
    state[TARGET] = gain;
    if (counts[MEASURED] === step) state[GAIN] = gain;
  }

  #mix(output: Float64Array, frame: number): void {
    const state = this.#state;
    const counts = this.#counts;
    const rate = this.#sampleRateHz;
    const isReady = counts[MEASURED]! >= Math.round(FIRST_MEASURE_SECONDS * rate);
    const isDue = isReady || counts[ELAPSED]! > PATIENCE_SECONDS * rate;
    if (counts[ELAPSED]! < rate) counts[ELAPSED]!++;
    if (counts[ON] === 0) this.#move(SHARE, -1);
    else if (isDue) this.#move(SHARE, 1);
    if (counts[LEAVING] === 1) this.#move(GATE, -1);
    else if (isReady) this.#move(GATE, 1);
    state[GAIN]! += (state[TARGET]! - state[GAIN]!) / (GAIN_SMOOTHING_SECONDS * rate);
    const step = Math.PI / this.#fadeSamples;
    const share = 0.5 - 0.5 * Math.cos(step * counts[SHARE]!);
    const gate = 0.5 - 0.5 * Math.cos(step * counts[GATE]!);
    output[frame] = (1 - share) * output[frame]! + share * gate * state[GAIN]! * this.#signal[frame]!;
  }

  #move(fade: number, by: number): void {
    const place = this.#counts[fade]! + by;
    if (place >= 0 && place <= this.#fadeSamples) this.#counts[fade] = place;
  }
}
