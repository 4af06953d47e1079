import { playCalibrationTone } from './calibration-tone.ts';
import { playCountIn } from './count-in.ts';

/** Sounds that do not go through the builds: the tone for the multimeter, and the beats before a recording. */
export class SoundsBeside {
  #endTone: () => void = () => {};
  #endCountIn: () => void = () => {};

  playTone(context: AudioContext): void {
    this.#endTone = playCalibrationTone(context);
  }

  stopTone(): void {
    this.#endTone();
    this.#endTone = () => {};
  }

  playCountIn(context: AudioContext, beats: Parameters<typeof playCountIn>[1]): void {
    this.#endCountIn = playCountIn(context, beats);
  }

  stopCountIn(): void {
    this.#endCountIn();
    this.#endCountIn = () => {};
  }
}
