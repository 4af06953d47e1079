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
/** Decay of what a net that is left was at. */
const RELEASE_SECONDS = 0.002;
const GAIN_SMOOTHING_SECONDS = 0.05;
/** Ends of the gain: a supply's ripple is not blown up beyond hearing, and no net is louder than a hundred volts. */
const MAX_GAIN = 100;
const MIN_GAIN = 0.001;

const SHARE = 0;
const GATE = 1;
const GAIN = 2;
const TARGET = 3;
const COUPLED = 4;
const HELD = 5;
const LAST = 6;
const OUTPUT_ENERGY = 7;
const PROBE_ENERGY = 8;
const LEVEL = 9;

const ON = 0;
const PRESENT = 1;
const ELAPSED = 2;
const MEASURED = 3;

/**
 * A probed net as it is heard in place of a build's output: AC-coupled, through the same speaker stand-in, and as
 * loud as the output by a gain that is measured over the first half second of signal (K-weighted) and then stands.
 */
export class VoiceProbe {
  readonly #sampleRateHz: number;
  readonly #speaker: Speaker;
  readonly #outputWeighting: BiquadCascade;
  readonly #probeWeighting: BiquadCascade;
  readonly #signal: Float64Array;
  readonly #weightedOutput: Float64Array;
  readonly #weightedProbe: Float64Array;
  readonly #state = new Float64Array(10);
  readonly #counts = new Int32Array(4);

  constructor(sampleRateHz: number, maxFrames: number) {
    this.#sampleRateHz = sampleRateHz;
    this.#speaker = new Speaker(sampleRateHz);
    this.#outputWeighting = new BiquadCascade(kWeighting(sampleRateHz));
    this.#probeWeighting = new BiquadCascade(kWeighting(sampleRateHz));
    this.#signal = new Float64Array(maxFrames);
    this.#weightedOutput = new Float64Array(maxFrames);
    this.#weightedProbe = new Float64Array(maxFrames);
  }

  /** Gain of the probed net, dB; −Infinity until it is known. */
  get gainDb(): number {
    const isKnown = this.#counts[ON] === 1 && this.#counts[MEASURED]! > 0;
    return isKnown ? 20 * Math.log10(this.#state[TARGET]!) : Number.NEGATIVE_INFINITY;
  }

  /** Whether the probe has any part in what is heard. */
  get isAudible(): boolean {
    return this.#counts[ON] === 1 || this.#state[SHARE]! > 0;
  }

  /** Puts the probe on a net. @param restV Its voltage at rest. @param isPresent False where the build has no such net: then silence. */
  choose(restV: number, isPresent: boolean): void {
    this.#leave();
    this.#state[COUPLED] = restV;
    this.#counts[ON] = 1;
    this.#counts[PRESENT] = isPresent ? 1 : 0;
    this.#speaker.reset();
    this.#probeWeighting.reset();
  }

  /** As the build's own speaker. Allocates. */
  setSpeaker(response: Float64Array): void {
    this.#speaker.setResponse(response);
  }

  /** Back to the output. */
  release(): void {
    this.#leave();
    this.#counts[ON] = 0;
    this.#counts[PRESENT] = 0;
  }

  /** What was heard of the net before dies away from where it is; the next one enters when it is measured. */
  #leave(): void {
    const state = this.#state;
    state[HELD] = state[LAST]!;
    state[GATE] = 0;
    state[OUTPUT_ENERGY] = 0;
    state[PROBE_ENERGY] = 0;
    this.#counts[ELAPSED] = 0;
    this.#counts[MEASURED] = 0;
  }

  /**
   * @param volts Voltage of the net. @param output The build's output after its stand-in; what is heard takes its place.
   */
  process(volts: Float64Array, output: Float64Array, frames: number, standIn: boolean): void {
    this.#couple(volts, frames);
    if (standIn) this.#speaker.process(this.#signal, frames, this.#signal);
    this.#outputWeighting.process(output, frames, this.#weightedOutput);
    this.#probeWeighting.process(this.#signal, frames, this.#weightedProbe);
    for (let frame = 0; frame < frames; frame++) {
      this.#measure(frame);
      this.#mix(output, frame);
    }
  }

  #couple(volts: Float64Array, frames: number): void {
    const share = 1 - Math.exp((-2 * Math.PI * COUPLING_HZ) / this.#sampleRateHz);
    const state = this.#state;
    for (let frame = 0; frame < frames; frame++) {
      state[COUPLED]! += share * (volts[frame]! - state[COUPLED]!);
      this.#signal[frame] = volts[frame]! - state[COUPLED]!;
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
    const fade = 1 / (FADE_SECONDS * rate);
    const isReady = counts[MEASURED]! >= Math.round(FIRST_MEASURE_SECONDS * rate);
    const isDue = isReady || counts[ELAPSED]! > PATIENCE_SECONDS * rate;
    if (counts[ELAPSED]! < rate) counts[ELAPSED]!++;
    state[SHARE]! += counts[ON] === 1 ? (isDue ? fade : 0) : -fade;
    if (state[SHARE]! > 1) state[SHARE] = 1;
    if (state[SHARE]! < 0) state[SHARE] = 0;
    if (isReady) state[GATE]! += fade;
    if (state[GATE]! > 1) state[GATE] = 1;
    state[GAIN]! += (state[TARGET]! - state[GAIN]!) / (GAIN_SMOOTHING_SECONDS * rate);
    state[HELD]! -= state[HELD]! / (RELEASE_SECONDS * rate);
    state[LAST] = state[HELD]! + state[GATE]! * state[GAIN]! * this.#signal[frame]!;
    output[frame] = (1 - state[SHARE]!) * output[frame]! + state[SHARE]! * state[LAST]!;
  }
}
