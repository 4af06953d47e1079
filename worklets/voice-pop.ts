import { Speaker } from '../engine/audio/speaker.ts';

/** The pop of the footswitch, through a speaker of its own, so that the loudness of a build is measured without it. */
export class VoicePop {
  readonly #speaker: Speaker;
  readonly #block: Float64Array;
  #samples = new Float64Array(0);
  /** Samples until it begins (negative), then samples played; and samples until its echo in the speaker has died. */
  readonly #place = new Int32Array(2);
  readonly #tailSamples: number;

  constructor(sampleRateHz: number, maxFrames: number) {
    this.#speaker = new Speaker(sampleRateHz, maxFrames);
    this.#block = new Float64Array(maxFrames);
    this.#tailSamples = Math.round(TAIL_SECONDS * sampleRateHz);
  }

  setSpeaker(response: Float64Array): void {
    this.#speaker.setResponse(response);
  }

  setStandIn(isOn: boolean): void {
    this.#speaker.setOn(isOn);
  }

  /** @param samples Volts at the rate of the voice. @param delay Samples until the first of them. */
  start(samples: Float64Array<ArrayBuffer>, delay: number): void {
    this.#speaker.reset();
    this.#samples = samples;
    this.#place[0] = -delay;
    this.#place[1] = this.#tailSamples;
  }

  /** Ends it, as while a probe is heard in place of the output: later it would come without a press. Real-time safe. */
  drop(): void {
    this.#place[1] = 0;
  }

  /** Adds the next block of it. Real-time safe. */
  addTo(output: Float64Array, frames: number): void {
    if (this.#place[1] === 0) return;
    const samples = this.#samples;
    let at = this.#place[0]!;
    for (let frame = 0; frame < frames; frame++) {
      this.#block[frame] = at >= 0 && at < samples.length ? samples[at]! : 0;
      at++;
    }
    this.#speaker.process(this.#block, frames, this.#block);
    for (let frame = 0; frame < frames; frame++) output[frame]! += this.#block[frame]!;
    const echo = at - samples.length;
    this.#place[0] = at;
    this.#place[1] = echo >= this.#tailSamples ? 0 : this.#tailSamples;
  }
}

/** Longer than any response of a speaker. */
const TAIL_SECONDS = 0.3;
