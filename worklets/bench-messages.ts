import type { OversamplingFactor, ResamplingQuality } from '../engine/audio/oversampler.ts';
import type { CircuitNumbers, CompiledCircuit } from '../engine/solver/compiled-circuit.ts';

/** Every message between the page and the audio thread, and the layout of the telemetry. */

export const PROCESSOR_NAME = 'cliplead-bench';

/** One of the two builds on the bench. */
export type Slot = 'a' | 'b';
export const SLOTS: readonly Slot[] = ['a', 'b'];

/** What the processor is made with. The rate is told, since the fallback for AudioWorklet does not know it then. */
export interface BenchOptions {
  readonly sampleRateHz: number;
  readonly factor: OversamplingFactor;
  readonly quality: ResamplingQuality;
  /** Where telemetry is written if memory can be shared; else it is posted. */
  readonly telemetry?: SharedArrayBuffer;
  /** The same for scope frames: {@link SCOPE_HEADER_BYTES}, then the samples. */
  readonly scope?: SharedArrayBuffer;
}

export interface BenchSettings {
  /** What a sample of 1 at the processor's input means, V. */
  readonly voltsPerFullScale: number;
  /** What a sample of 1 at the input of the interface means, V; from there input counts as clipped. */
  readonly clipVolts: number;
  readonly standIn: boolean;
  /** Level at the output: a sample of 1 for 1 V at 0 dB. */
  readonly outputDb: number;
  /** Gain of each build for equal loudness, dB. */
  readonly matchDb: Readonly<Record<Slot, number>>;
}

export const STARTING_SETTINGS: BenchSettings = {
  voltsPerFullScale: 1,
  clipVolts: Number.POSITIVE_INFINITY,
  standIn: true,
  outputDb: -12,
  matchDb: { a: 0, b: 0 },
};

export type ToProcessor =
  /** A build of another structure: crossfaded in from its rest state. */
  | { readonly type: 'circuit'; readonly slot: Slot; readonly circuit: CompiledCircuit }
  /** Other numbers for the structure that the slot has: parameters glide there; the rest state is theirs. */
  | {
      readonly type: 'values';
      readonly slot: Slot;
      readonly numbers: CircuitNumbers;
      /** {@link GLIDE_SECONDS} where nothing is said. */
      readonly glideSeconds?: number;
    }
  | { readonly type: 'hear'; readonly slot: Slot }
  | { readonly type: 'settings'; readonly settings: BenchSettings }
  /** By a fade, or at once where the sound was cut off already. */
  | { readonly type: 'mute'; readonly muted: boolean; readonly isAtOnce?: boolean }
  /** Whether the builds are fed: kept out, by a fade, while another source takes the place of what plays. */
  | { readonly type: 'gateInput'; readonly isOpen: boolean }
  /**
   * The probe goes on a net of each build, heard in place of the output: undefined for the output, null for a build
   * that does not have the net.
   */
  | { readonly type: 'probe'; readonly nets: Readonly<Record<Slot, string | null | undefined>> }
  /**
   * The hiss of a build at rest as the sections of a filter for white noise (`noiseFilter` of the engine), added to its
   * output; empty for none. At the base rate.
   */
  | { readonly type: 'noise'; readonly slot: Slot; readonly coefficients: Float64Array }
  /** Nets of each build whose levels are wanted while the probe is on the output; none ends it. */
  | { readonly type: 'levels'; readonly nets: Readonly<Record<Slot, readonly string[]>> }
  /** Impulse response in place of the built-in speaker, at the base rate; empty for that. */
  | { readonly type: 'speaker'; readonly response: Float64Array }
  /** Sections ahead of a build's input (`inputCorrection` of the engine); empty for none. */
  | { readonly type: 'correctInput'; readonly slot: Slot; readonly coefficients: Float64Array }
  /** Whether scope frames are wanted. */
  | { readonly type: 'scope'; readonly isWanted: boolean }
  /**
   * Loudness is measured anew once all that was told before is heard. The number comes back with what was measured
   * (`TELEMETRY.measurement`): from 1 to {@link MOST_MEASUREMENTS}.
   */
  | { readonly type: 'measureLoudness'; readonly number: number }
  /** Plays a riff in place of the input, from its first frame; volts at the processor's rate. */
  | ({ readonly type: 'riff'; readonly samples: Float32Array<ArrayBuffer> } & RiffBounds)
  | ({ readonly type: 'trimRiff' } & RiffBounds)
  | { readonly type: 'stopRiff' }
  /** The dry input is told in chunks from here on, or no longer. */
  | { readonly type: 'capture'; readonly isCapturing: boolean }
  /** A and B take turns, from the one that is heard. */
  | { readonly type: 'alternate'; readonly turn: Turn }
  /** The difference A − B is heard alone, or no longer. */
  | { readonly type: 'difference'; readonly isHeard: boolean; readonly gainDb: number }
  /** While a blind test runs, every switch sounds alike, and telemetry leaves out what depends on who is heard. */
  | { readonly type: 'blind'; readonly isBlind: boolean };

/** First frame of a round, and the first after it. */
export interface RiffBounds {
  readonly startFrame: number;
  readonly endFrame: number;
}

/** When A and B change by themselves: never, at every pass of the riff, or after so many seconds. */
export type Turn = 'off' | 'pass' | number;

export type FromProcessor =
  /** Posted about 30 times a second where memory cannot be shared. */
  | { readonly type: 'telemetry'; readonly values: Float32Array }
  | { readonly type: 'scope'; readonly values: Float32Array }
  | CapturedChunk;

/** Dry input, V: the first `frames` of `samples`. The last chunk may be empty. */
export interface CapturedChunk {
  readonly type: 'captured';
  readonly samples: Float32Array;
  readonly frames: number;
  readonly isLast: boolean;
}

/** A changed value takes so long. */
export const GLIDE_SECONDS = 0.01;
/** Temperature moves rest voltages by tenths of a volt: as a ramp that is no click. */
export const TEMPERATURE_GLIDE_SECONDS = 0.3;

/** An Int32 ahead of shared scope samples: odd while they are being written, another even number after each time. */
export const SCOPE_HEADER_BYTES = 4;

/** Places of the telemetry, in a Float32Array. */
export const TELEMETRY = {
  inputPeakV: 0,
  inputRmsV: 1,
  inputClips: 2,
  outputPeak: 3,
  limiterReductionDb: 4,
  /** Gated loudness since it was last measured anew, ahead of the match, dB of 1 V. */
  loudnessA: 5,
  loudnessB: 6,
  /** Seconds over which loudness has been measured. */
  measuredSeconds: 7,
  /** Share of the time at hand that the processor needs. */
  load: 8,
  newtonPerSample: 9,
  failures: 10,
  resets: 11,
  nonFiniteInputs: 12,
  /** Gain that makes a probed net as loud as the output, dB; −Infinity until it is known. */
  probeGainDbA: 13,
  probeGainDbB: 14,
  /** Whole rounds of the riff, and the share of the one under way. */
  riffPasses: 15,
  riffShare: 16,
  capturedSeconds: 17,
  /** How often A and B have changed by themselves. */
  turns: 18,
  /** Mean square of the A-weighted output since the telemetry before, full scale squared. */
  outputAWeightedSquare: 19,
  /** Blocks in which the limiter worked, since the start. */
  limitedBlocks: 20,
  /** Level of A − B against A over the last second, dB. */
  differenceDb: 21,
  /** Number of the measurement that loudness and its seconds belong to; 0 before the first that was asked for. */
  measurement: 22,
} as const;
/** Whole numbers up to here are exact in a Float32Array. */
export const MOST_MEASUREMENTS = 2 ** 24;
/** Levels of so many nets of each build, seen one after another, follow: two numbers a net, A's ahead of B's. */
export const MOST_LEVELS = 16;
export const LEVELS_START = Object.keys(TELEMETRY).length;
export const TELEMETRY_LENGTH = LEVELS_START + 4 * MOST_LEVELS;

/** The processor that measures the round trip, beside the bench's own. */
export const ROUND_TRIP_PROCESSOR = 'cliplead-round-trip';

export interface RoundTripOptions {
  readonly signal: Float32Array;
  /** Silence ahead of the signal. */
  readonly leadInFrames: number;
}

/** Posted once, at the end: what came in from the first sample of the signal on. */
export interface FromRoundTrip {
  readonly recorded: Float32Array;
}
