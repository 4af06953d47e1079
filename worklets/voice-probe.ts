import { BiquadCascade } from '../engine/audio/biquad.ts';
import { kWeighting } from '../engine/audio/loudness.ts';
import { Speaker } from '../engine/audio/speaker.ts';

/** Corner of the coupling that keeps bias off the ear. */
const COUPLING_HZ = 10;
/** What a net showed before the coupling has settled is not heard. */
const WARM_UP_SECONDS = 0.05;
/** The gain is measured over so much signal, renewed in steps of the first; silence does not count. */
const FIRST_MEASURE_SECONDS = 0.05;
const MEASURE_SECONDS = 0.5;
/** Mean square of the output that counts as signal, V²: 0.1 mV, and the time over which it is taken. */
const SIGNAL_MEAN_SQUARE = 1e-8;
const SIGNAL_SECONDS = 0.02;
/** Without signal the output gives way to the probe after so long. */
const PATIENCE_SECONDS = 0.15;
const FADE_SECONDS = 0.02;
const GAIN_SMOOTHING_SECONDS = 0.05;
/** Ends of the gain: a supply's ripple is not blown up beyond hearing, and no net is louder than a hundred volts. */
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
/** Samples of their fades: share of the probe in what is heard, and how far the net is let through. */
const SHARE = 5;
const GATE = 6;

/**
 * A probed net as it is heard in place of a build's output: AC-coupled, through the same speaker stand-in, and as
 * loud as the output by a gain that is measured over the first half second of signal (K-weighted) and then stands.
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

  /** Whether the probe has any part in what is heard. */
  get isAudible(): boolean {
    return this.#counts[ON] === 1 || this.#counts[SHARE]! > 0;
  }

  /** Samples until what is heard of a net has died away, after `leave` or `release`. */
  get samplesToLeave(): number {
    return this.#counts[ON] === 1 ? this.#counts[GATE]! : this.#counts[SHARE]!;
  }

  /**
   * Puts the probe on a net; the one before has to be left. Real-time safe.
   *
   * @param restV Its voltage at rest. @param isPresent False where the build has no such net: then silence.
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

  /** The net rests elsewhere from here on, by so many volts: no part of what is heard. Real-time safe. */
  shift(volts: number): void {
    this.#state[COUPLED]! += volts;
  }

  /** As the build's own speaker. Allocates. */
  setSpeaker(response: Float64Array): void {
    this.#speaker.setResponse(response);
  }

  /** As the build itself. Allocates. */
  setStandIn(isOn: boolean): void {
    this.#speaker.setOn(isOn);
  }

  /** Fades out what is heard of the net, for another one. */
  leave(): void {
    this.#counts[LEAVING] = 1;
  }

  /** Back to the output. */
  release(): void {
    this.#counts[ON] = 0;
  }

  /**
   * @param volts Voltage of the net. @param shifts How far its rest has moved, until `shift`, V.
   * @param output The build's output after its stand-in; what is heard takes its place.
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
    // So too where the net is silent and the quotient is none.
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
