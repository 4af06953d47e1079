import type { RiffBounds, Turn } from '../../worklets/bench-messages.ts';

/** A phrase as it came from the strings, before any pedal, kept to be played round and round. Immutable. */
export interface Riff extends RiffBounds {
  readonly id: string;
  readonly name: string;
  readonly sampleRateHz: number;
  /** Volts at the pedal's input; the round is cut out of them by the bounds. */
  readonly samples: Float32Array<ArrayBuffer>;
  /** How often the interface clipped while it was captured. */
  readonly clips: number;
}

/** How far the capture of a riff is; armed, it waits for the space bar or a foot switch. */
export type CaptureStage = 'idle' | 'armed' | 'counting' | 'capturing';

/** Where comparing by ear stands. Immutable. */
export interface EarState {
  readonly riffs: readonly Riff[];
  readonly capture: CaptureStage;
  /** Beats of the metronome since the count-in began. */
  readonly beats: number;
  readonly tempoBpm: number;
  readonly hasCountIn: boolean;
  readonly turn: Turn;
}

export const STARTING_EAR: EarState = {
  riffs: [],
  capture: 'idle',
  beats: 0,
  tempoBpm: 90,
  hasCountIn: true,
  turn: 'off',
};

/** What is asked of the ear room and takes more than a changed state. */
export type EarCommand =
  /** Starts and stops the capture of a riff, as a foot switch would. */
  | { readonly do: 'pressCapture' }
  | { readonly do: 'cancelCapture' }
  /** What plays now becomes a riff. */
  | { readonly do: 'keepSource' }
  | { readonly do: 'addFile'; readonly file: File }
  | { readonly do: 'playRiff'; readonly id: string }
  | { readonly do: 'trimRiff'; readonly id: string; readonly bounds: RiffBounds }
  | { readonly do: 'renameRiff'; readonly id: string; readonly name: string }
  | { readonly do: 'removeRiff'; readonly id: string }
  | { readonly do: 'saveRiff'; readonly id: string };

/** Seconds of one round. */
export function riffSeconds({ startFrame, endFrame, sampleRateHz }: Riff): number {
  return (endFrame - startFrame) / sampleRateHz;
}
