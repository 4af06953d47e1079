import type { BlindAnswer, BlindButton, BlindTest, BlindTestKind } from '../../engine/analysis/blind-test.ts';
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

/** A riff that the browser did not take. */
export interface UnkeptRiff {
  readonly id: string;
  readonly reason: string;
}

/** How far the capture of a riff is; armed, it waits for the space bar or a foot switch. */
export type CaptureStage = 'idle' | 'armed' | 'counting' | 'capturing';

/** A blind test under way, as it may be seen: nothing here depends on who is who. */
export interface RunningBlindTest {
  readonly test: BlindTest;
  /** What the listener chose to hear. */
  readonly heard: BlindButton;
  /** Why the last trial was void, until the next answer. */
  readonly notice: string | undefined;
}

/** A finished blind test as it is kept. */
export interface KeptBlindTest {
  /** ISO 8601. */
  readonly finishedAt: string;
  readonly title: string;
  readonly sentences: readonly string[];
  /** The files that are saved of it. */
  readonly json: string;
  readonly text: string;
}

/** Where comparing by ear stands. Immutable. */
export interface EarState {
  readonly riffs: readonly Riff[];
  /** Riffs that last for this visit only, and why. */
  readonly unkept: readonly UnkeptRiff[];
  /** What else the browser's database did not give or take, in one sentence. */
  readonly databaseTrouble: string | undefined;
  readonly capture: CaptureStage;
  /** Beats of the metronome since the count-in began. */
  readonly beats: number;
  readonly tempoBpm: number;
  readonly hasCountIn: boolean;
  readonly turn: Turn;
  /** A minus B is heard in place of either, with this gain. */
  readonly difference: { readonly gainDb: number } | undefined;
  readonly blindKind: BlindTestKind;
  /** Trials that the next blind test will have. */
  readonly blindTrials: number;
  readonly blindTest: RunningBlindTest | undefined;
  readonly blindResults: readonly KeptBlindTest[];
}

export const STARTING_EAR: EarState = {
  riffs: [],
  unkept: [],
  databaseTrouble: undefined,
  capture: 'idle',
  beats: 0,
  tempoBpm: 90,
  hasCountIn: true,
  turn: 'off',
  difference: undefined,
  blindKind: 'abx',
  blindTrials: 16,
  blindTest: undefined,
  blindResults: [],
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
  | { readonly do: 'saveRiff'; readonly id: string }
  | { readonly do: 'startBlindTest' }
  | { readonly do: 'hearBlind'; readonly button: BlindButton }
  | { readonly do: 'answerBlind'; readonly answer: BlindAnswer }
  | { readonly do: 'stopBlindTest' }
  | { readonly do: 'saveBlindTest'; readonly finishedAt: string; readonly as: 'json' | 'text' }
  | { readonly do: 'removeBlindTest'; readonly finishedAt: string };

/** Seconds of one round. */
export function riffSeconds({ startFrame, endFrame, sampleRateHz }: Riff): number {
  return (endFrame - startFrame) / sampleRateHz;
}
