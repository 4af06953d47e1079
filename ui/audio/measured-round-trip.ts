import type { RoundTrip, RoundTripVerdict } from '../../engine/analysis/round-trip.ts';
import type { Latency } from './latency.ts';
import type { LiveInputFacts } from './live-input.ts';

/** A measurement and its conditions; it is valid only for these. */
export interface MeasuredRoundTrip {
  readonly result: RoundTrip;
  readonly inputLabel: string;
  readonly sampleRateHz: number;
  /** Buffer of the browser. */
  readonly baseMs: number;
}

/** Present conditions of the sound. */
export interface PresentSound {
  readonly input: LiveInputFacts | undefined;
  readonly sampleRateHz: number;
  readonly latency: Latency;
  readonly roundTrip: MeasuredRoundTrip | undefined;
}

/** Measured milliseconds through interface and browser; undefined if they are not valid now. */
export function measuredPathMs({
  input,
  sampleRateHz,
  latency,
  roundTrip,
}: PresentSound): number | undefined {
  const holds =
    roundTrip?.result.verdict === 'clear' &&
    roundTrip.inputLabel === input?.label &&
    roundTrip.sampleRateHz === sampleRateHz &&
    roundTrip.baseMs === latency.baseMs;
  return holds ? (1000 * roundTrip.result.delaySamples) / sampleRateHz : undefined;
}

const REASONS: Readonly<Record<Exclude<RoundTripVerdict, 'clear'>, string>> = {
  clipped: 'The input clipped. Turn its gain or the output down, then measure again.',
  silent: 'Nothing came back. Is the cable in an output that plays and in the input that is chosen?',
  absent:
    'The test signal did not come back; something else came in. Check the cable, the channel, and that the output is turned up.',
  low: 'The test signal came back so low that it may be crosstalk instead of the cable. Turn the output or the input’s gain up.',
  unclear:
    'It came back more than once, nearly as strong. Switch the interface’s direct monitoring off and remove other connections between output and input.',
};

/** Result of a measurement, in sentences. */
export function roundTripSentences(
  { result, inputLabel, sampleRateHz, baseMs }: MeasuredRoundTrip,
  engineMs: number,
): string {
  const { verdict, delaySamples, returnedDb, isInverted, clearanceDb } = result;
  const level = `${returnedDb.toFixed(0)} dB of full scale`;
  if (verdict === 'silent') return REASONS.silent;
  if (verdict === 'low') return `${REASONS.low} (It was ${level}.)`;
  if (verdict !== 'clear') return REASONS[verdict];
  const pathMs = (1000 * delaySamples) / sampleRateHz;
  const samples = delaySamples + (engineMs * sampleRateHz) / 1000;
  return (
    `From string to ear ${(pathMs + engineMs).toFixed(1)} ms, ${samples.toFixed(1)} samples at ${sampleRateHz} Hz: ` +
    `${engineMs.toFixed(1)} ms circuit, ${pathMs.toFixed(1)} ms interface and browser. ` +
    `It came back at ${level}${isInverted ? ', inverted' : ''}, its peak ${Math.min(99, clearanceDb).toFixed(0)} dB above the next. ` +
    `Measured on “${inputLabel}” with a buffer of ${baseMs.toFixed(1)} ms, and valid only for these.`
  );
}
