import type { BlindAnswer, BlindButton, BlindTest, BlindTestKind } from '../../engine/analysis/blind-test.ts';
import type { RiffBounds, SwitchEvery } from '../../worklets/bench-messages.ts';
import type { CandidateRun } from './candidate-run.ts';

/** A dry phrase from the guitar, before any pedal, stored for playing in a loop. Immutable. */
export interface Riff extends RiffBounds {
  readonly id: string;
  readonly name: string;
  readonly sampleRateHz: number;
  /** Volts at the pedal's input; the bounds cut the loop out of them. */
  readonly samples: Float32Array<ArrayBuffer>;
  /** Clips of the interface during the recording. */
  readonly clips: number;
}

/** A riff that the browser did not store. */
export interface UnkeptRiff {
  readonly id: string;
  readonly reason: string;
}

/** State of recording a riff; 'armed' waits for the space bar or a foot switch. */
export type CaptureStage = 'idle' | 'armed' | 'counting' | 'capturing';

/** The visible part of a running blind test: nothing here depends on which build is which. */
export interface RunningBlindTest {
  readonly test: BlindTest;
  /** What the listener chose to hear. */
  readonly heard: BlindButton;
  /** Why the last trial was void, until the next answer. */
  readonly notice: string | undefined;
}

/** A finished blind test, as it is stored. */
export interface KeptBlindTest {
  /** ISO 8601. */
  readonly finishedAt: string;
  readonly title: string;
  readonly sentences: readonly string[];
  /** Its files. */
  readonly json: string;
  readonly text: string;
}

/** State of the view “By ear”. Immutable. */
export interface EarState {
  readonly riffs: readonly Riff[];
  /** Riffs that last for this visit only, and why. */
  readonly unkept: readonly UnkeptRiff[];
  /** Another problem of the browser's database, in one sentence. */
  readonly databaseTrouble: string | undefined;
  readonly capture: CaptureStage;
  /** Beats of the metronome since the count-in began. */
  readonly beats: number;
  readonly tempoBpm: number;
  readonly hasCountIn: boolean;
  readonly switchEvery: SwitchEvery;
  /** A minus B plays instead of either build, with this gain. */
  readonly difference: { readonly gainDb: number } | undefined;
  /** Candidates that are stepped through, or those of the last run. */
  readonly candidates: CandidateRun | undefined;
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
  switchEvery: 'off',
  difference: undefined,
  candidates: undefined,
  blindKind: 'abx',
  blindTrials: 16,
  blindTest: undefined,
  blindResults: [],
};

/** Commands of the ear room that need more than a changed state. */
export type EarCommand =
  /** Starts and stops the capture of a riff, as a foot switch would. */
  | { readonly do: 'pressCapture' }
  | { readonly do: 'cancelCapture' }
  /** Makes a riff of the present source. */
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
  /** Ends the trial without an answer; it is repeated. */
  | { readonly do: 'skipTrial' }
  | { readonly do: 'stopBlindTest' }
  | { readonly do: 'saveBlindTest'; readonly finishedAt: string; readonly as: 'json' | 'text' }
  | { readonly do: 'removeBlindTest'; readonly finishedAt: string };

/** Seconds of one loop. */
export function riffSeconds({ startFrame, endFrame, sampleRateHz }: Riff): number {
  return (endFrame - startFrame) / sampleRateHz;
}
