import type { OversamplingFactor, ResamplingQuality } from '../engine/audio/oversampler.ts';
import type { CircuitNumbers, CompiledCircuit } from '../engine/solver/compiled-circuit.ts';

/** Every message between the page and the audio thread, and the layout of the telemetry. */

export const PROCESSOR_NAME = 'cliplead-bench';

/** One of the two builds on the bench. */
export type Slot = 'a' | 'b';
export const SLOTS: readonly Slot[] = ['a', 'b'];

/** Options of the processor. The rate is included, since the replacement for AudioWorklet does not know it at that time. */
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
  /** Volts of a sample of 1 at the processor's input. */
  readonly voltsPerFullScale: number;
  /** Volts of a sample of 1 at the input of the interface; from there on input counts as clipped. */
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

/** A net of each build's circuit; none for a build that does not have it. */
export type WatchedNets = Readonly<Partial<Record<Slot, string>>>;

export type ToProcessor =
  /** A build of another structure: it is crossfaded in from its operating point. */
  | { readonly type: 'circuit'; readonly slot: Slot; readonly circuit: CompiledCircuit }
  /** Other numbers for the slot's structure: parameters glide; the operating point belongs to them. */
  | {
      readonly type: 'values';
      readonly slot: Slot;
      readonly numbers: CircuitNumbers;
      /** Default: {@link GLIDE_SECONDS}. */
      readonly glideSeconds?: number;
    }
  | { readonly type: 'hear'; readonly slot: Slot }
  | { readonly type: 'settings'; readonly settings: BenchSettings }
  /** By a fade, or at once if the sound was already cut off. */
  | { readonly type: 'mute'; readonly muted: boolean; readonly isAtOnce?: boolean }
  /** Whether the input reaches the builds; it is faded out while the source changes. */
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
  /** The pop of a slot's footswitch, as heard, V at the base rate. */
  | { readonly type: 'pop'; readonly slot: Slot; readonly samples: Float64Array<ArrayBuffer> }
  /** Whether scope frames are wanted, and the net of each build that they show beside the probe's. */
  | { readonly type: 'scope'; readonly isWanted: boolean; readonly nets?: WatchedNets }
  /**
   * Starts a new measurement of loudness after all earlier messages have taken effect. The number comes back with the result
   * (`TELEMETRY.measurement`): from 1 to {@link MOST_MEASUREMENTS}.
   */
  | { readonly type: 'measureLoudness'; readonly number: number }
  /** Plays a riff in place of the input, from its first frame; volts at the processor's rate. */
  | ({ readonly type: 'riff'; readonly samples: Float32Array<ArrayBuffer> } & RiffBounds)
  | ({ readonly type: 'trimRiff' } & RiffBounds)
  | { readonly type: 'stopRiff' }
  /** Starts or ends sending the dry input in chunks. */
  | { readonly type: 'capture'; readonly isCapturing: boolean }
  /** Asks for the last seconds of the dry input. */
  | { readonly type: 'recentInput' }
  /** The recent input begins anew. */
  | { readonly type: 'forgetInput' }
  /** A and B switch automatically, starting from the heard one. */
  | { readonly type: 'alternate'; readonly every: SwitchEvery }
  /** The difference A − B is heard alone, or no longer. */
  | { readonly type: 'difference'; readonly isHeard: boolean; readonly gainDb: number }
  /** During a blind test every switch sounds the same, and telemetry leaves out what depends on the heard build. */
  | { readonly type: 'blind'; readonly isBlind: boolean };

/** First frame of a loop, and the first after it. */
export interface RiffBounds {
  readonly startFrame: number;
  readonly endFrame: number;
}

/** When A and B switch automatically: never, at every loop of the riff, or after a number of seconds. */
export type SwitchEvery = 'off' | 'pass' | number;

export type FromProcessor =
  /** Posted about 30 times a second where memory cannot be shared. */
  | { readonly type: 'telemetry'; readonly values: Float32Array }
  | { readonly type: 'scope'; readonly values: Float32Array }
  /** The answer: V, in the order in which it was played. */
  | { readonly type: 'recentInput'; readonly samples: Float32Array<ArrayBuffer> }
  | CapturedChunk;

/** Dry input, V: the first `frames` of `samples`. The last chunk may be empty. */
export interface CapturedChunk {
  readonly type: 'captured';
  readonly samples: Float32Array;
  readonly frames: number;
  readonly isLast: boolean;
}

/** Time of a glide to a changed value. */
export const GLIDE_SECONDS = 0.01;
/** Temperature changes DC voltages by tenths of a volt; as a slow ramp it does not click. */
export const TEMPERATURE_GLIDE_SECONDS = 0.3;

/** An Int32 before shared scope samples: odd while they are written, a new even number after each write. */
export const SCOPE_HEADER_BYTES = 4;

/** Indices of the telemetry in a Float32Array. */
export const TELEMETRY = {
  inputPeakV: 0,
  inputRmsV: 1,
  inputClips: 2,
  outputPeak: 3,
  limiterReductionDb: 4,
  /** Gated loudness of the present measurement, before the match, dB of 1 V. */
  loudnessA: 5,
  loudnessB: 6,
  /** Seconds over which loudness has been measured. */
  measuredSeconds: 7,
  /** Load of the processor, a share of the available time. */
  load: 8,
  newtonPerSample: 9,
  failures: 10,
  resets: 11,
  nonFiniteInputs: 12,
  /** Gain that makes a probed net as loud as the output, dB; −Infinity until it is known. */
  probeGainDbA: 13,
  probeGainDbB: 14,
  /** Number of whole loops of the riff, and the played share of the present one. */
  riffPasses: 15,
  riffShare: 16,
  capturedSeconds: 17,
  /** Number of automatic switches of A and B. */
  autoSwitches: 18,
  /** Mean square of the A-weighted output since the last telemetry, full scale squared. */
  outputAWeightedSquare: 19,
  /** Blocks in which the limiter worked, since the start. */
  limitedBlocks: 20,
  /** Level of A − B relative to A over the last second, dB. */
  differenceDb: 21,
  /** Number of the measurement that loudness and its seconds belong to; 0 before the first that was asked for. */
  measurement: 22,
} as const;
/** Whole numbers up to here are exact in a Float32Array. */
export const MOST_MEASUREMENTS = 2 ** 24;
/** Most nets whose levels follow, those of three pedals: two numbers a net, A's before B's. */
export const MOST_LEVELS = 32;
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
