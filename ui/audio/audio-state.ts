import { type LiveRate, STARTING_RATE } from '../rate/live-rate.ts';
import { type Dropouts, NO_DROPOUTS } from './dropouts.ts';
import { type KeptDevice, keptDevice } from './kept-devices.ts';
import { type Latency, NO_LATENCY } from './latency.ts';
import type { LiveInputFacts } from './live-input.ts';
import type { MeasuredRoundTrip } from './measured-round-trip.ts';
import type { Source } from './prepared-source.ts';
import type { Problems } from './problems.ts';

/** What the page knows of the sound. Immutable. */
export interface AudioState {
  readonly isRunning: boolean;
  readonly isMuted: boolean;
  readonly source: Source;
  /** Seconds of one round of the source; undefined for a live input and for silence. */
  readonly roundSeconds: number | undefined;
  readonly input: LiveInputFacts | undefined;
  /** The output that was chosen; undefined for the system's. */
  readonly output: KeptDevice | undefined;
  readonly sampleRateHz: number;
  /** How much circuits are oversampled, and why so much. */
  readonly rate: LiveRate;
  readonly latency: Latency;
  readonly dropouts: Dropouts;
  /** What was last measured with a cable from output to input, and whether it is being measured. */
  readonly roundTrip: MeasuredRoundTrip | undefined;
  readonly isMeasuringRoundTrip: boolean;
  /** The tone for the multimeter sounds. */
  readonly playsTone: boolean;
  /** The replacement for AudioWorklet is used, with its high latency. */
  readonly usesFallback: boolean;
  /** Problems in plain words, until they are solved. */
  readonly problems: Problems;
}

/** Before sound was ever started. */
export function startingAudioState(): AudioState {
  return {
    isRunning: false,
    isMuted: true,
    source: { kind: 'none' },
    roundSeconds: undefined,
    input: undefined,
    output: keptDevice('output-device'),
    sampleRateHz: 48_000,
    rate: STARTING_RATE,
    latency: NO_LATENCY,
    dropouts: NO_DROPOUTS,
    roundTrip: undefined,
    isMeasuringRoundTrip: false,
    playsTone: false,
    usesFallback: !isNative(globalThis.AudioWorkletNode),
    problems: {},
  };
}

/** Whether the browser itself has AudioWorklet, and not only the replacement. */
function isNative(candidate: unknown): boolean {
  return (
    typeof candidate === 'function' && Function.prototype.toString.call(candidate).includes('[native code]')
  );
}
