import { Upsampler } from '../../engine/audio/oversampler.ts';
import { decodeRecording } from '../../engine/audio/recording-file.ts';
import { resample } from '../../engine/audio/resample.ts';
import { bundledRecording } from '../../engine/cli/preset-files.ts';
import { OUTPUT_RATE_HZ } from './band-limit.ts';
import { plucked, type Signal, sampleSignal, sine } from './signals.ts';

/**
 * Inputs of trials, as samples at 32 times 48 kHz, dense enough that solver and reference interpolate the same curve:
 * formulas, faded in and out within 3 ms so that they have no corner, and a recording that was converted to that rate
 * as in offline renders.
 */
export type TrialInput = {
  readonly kind: 'sine' | 'plucked' | 'burst' | 'recording';
  /** For a sine or burst; for a recording, the second at which it starts. */
  readonly place: number;
  readonly peakV: number;
  readonly seconds: number;
};

export const DENSE_FACTOR = 32;
const FADE_S = 3e-3;
const RECORDING = 'guitar-fifths';

/** The latest input, since one trial needs it several times. */
let latest: { readonly input: TrialInput; readonly volts: Float64Array } | undefined;

/** Volts at 48 kHz times DENSE_FACTOR, the first at t = 0. */
export function denseInput(input: TrialInput): Float64Array {
  if (latest?.input !== input) latest = { input, volts: sampledInput(input) };
  return latest.volts;
}

/** Volts at 48 kHz times a factor, a power of two. */
export function inputAt(input: TrialInput, factor: number): Float64Array {
  if (factor > DENSE_FACTOR) {
    return input.kind === 'recording'
      ? between(denseInput(input), factor / DENSE_FACTOR)
      : sampleSignal(signalOf(input), OUTPUT_RATE_HZ * factor, input.seconds);
  }
  const stride = DENSE_FACTOR / factor;
  const dense = denseInput(input);
  return Float64Array.from({ length: Math.ceil(dense.length / stride) }, (_, k) => dense[k * stride]!);
}

function sampledInput(input: TrialInput): Float64Array {
  if (input.kind === 'recording') return denseRecording(input);
  return sampleSignal(signalOf(input), OUTPUT_RATE_HZ * DENSE_FACTOR, input.seconds);
}

/**
 * A dense signal at a multiple of its rate, by the cubic through four samples: within -110 dB at 20 kHz. Another upsampler
 * would have another delay.
 */
function between(dense: Float64Array, times: number): Float64Array {
  const at = (index: number) => dense[Math.min(Math.max(index, 0), dense.length - 1)]!;
  return Float64Array.from({ length: (dense.length - 1) * times + 1 }, (_, k) => {
    const first = Math.floor(k / times);
    const x = (k % times) / times;
    return (
      (-x * (x - 1) * (x - 2) * at(first - 1)) / 6 +
      ((x + 1) * (x - 1) * (x - 2) * at(first)) / 2 -
      ((x + 1) * x * (x - 2) * at(first + 1)) / 2 +
      ((x + 1) * x * (x - 1) * at(first + 2)) / 6
    );
  });
}

function signalOf({ kind, place, peakV, seconds }: TrialInput): Signal {
  const tone = sine(peakV, place);
  if (kind === 'sine') return faded(tone, seconds);
  if (kind === 'plucked') return faded(plucked(peakV), seconds);
  // Ten periods of a sine whose amplitude rises and falls once, then silence.
  const sounding = Math.min(10 / place, seconds / 2);
  return (t) => (t < sounding ? tone(t) * Math.sin((Math.PI * t) / sounding) ** 2 : 0);
}

/** With half a cosine at both ends. */
function faded(signal: Signal, seconds: number): Signal {
  const share = (t: number) => (t >= FADE_S ? 1 : t <= 0 ? 0 : 0.5 - 0.5 * Math.cos((Math.PI * t) / FADE_S));
  return (t) => signal(t) * share(t) * share(seconds - t);
}

/** The whole recording at 48 kHz, decoded once. */
let recorded: Float64Array | undefined;

function recordedSamples(): Float64Array {
  const recording = bundledRecording(RECORDING);
  if (!recording) throw new Error(`the recording ${RECORDING} is missing`);
  const { channels, sampleRateHz } = decodeRecording(Uint8Array.from(recording.bytes));
  return Float64Array.from(resample(channels[0]!, sampleRateHz, OUTPUT_RATE_HZ));
}

function denseRecording({ place, peakV, seconds }: TrialInput): Float64Array {
  recorded ??= recordedSamples();
  const samples = recorded;
  const length = Math.round(seconds * OUTPUT_RATE_HZ) + 1;
  const first = Math.min(Math.round(place * OUTPUT_RATE_HZ), samples.length - length);
  const piece = samples.slice(first, first + length);
  const most = piece.reduce((largest, sample) => Math.max(largest, Math.abs(sample)), 1e-9);
  const volts = Float64Array.from(piece, (sample) => (peakV * sample) / most);
  const upsampler = new Upsampler({
    factor: DENSE_FACTOR,
    quality: 'linear-phase',
    sampleRateHz: OUTPUT_RATE_HZ,
    maxFrames: length,
  });
  const dense = new Float64Array(length * DENSE_FACTOR);
  upsampler.process(volts, length, dense);
  return dense.subarray(0, (length - 1) * DENSE_FACTOR + 1);
}

/** For example "sine 1000 Hz 2 V". */
export function inputText({ kind, place, peakV }: TrialInput): string {
  const where = kind === 'recording' ? `${place} s ` : kind === 'plucked' ? '' : `${place} Hz `;
  return `${kind} ${where}${peakV} V`;
}
