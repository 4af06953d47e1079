import type { OversamplingFactor } from '../../engine/audio/oversampler.ts';
import { benchLatencySamples } from '../../worklets/bench-engine.ts';
import { LIVE_QUALITY } from './bench-node.ts';

/** Milliseconds between string and ear, as far as the browser tells. */
export interface Latency {
  readonly baseMs: number;
  readonly outputMs: number;
  readonly engineMs: number;
}

export const NO_LATENCY: Latency = { baseMs: 0, outputMs: 0, engineMs: 0 };

/** The fallback buffers so many frames twice over. */
const FALLBACK_FRAMES = 2 * 2048;

/** What a context says of itself, and what the engine adds at an oversampling factor. */
export function latencyOf(
  { sampleRate, baseLatency, outputLatency }: AudioContext,
  factor: OversamplingFactor,
  usesFallback: boolean,
): Latency {
  const engine = benchLatencySamples({ sampleRateHz: sampleRate, factor, quality: LIVE_QUALITY });
  const buffered = usesFallback ? FALLBACK_FRAMES : 0;
  return {
    baseMs: 1000 * (baseLatency ?? 0),
    outputMs: 1000 * (outputLatency ?? 0),
    engineMs: (1000 * (engine + buffered)) / sampleRate,
  };
}

/** What some browsers count; not in the types of the DOM yet. */
interface CountingContext {
  readonly playbackStats?: { readonly underrunEvents?: number };
}

/** Gaps in the sound since the context was opened; undefined where the browser does not count them. */
export function underrunsOf(context: AudioContext | undefined): number | undefined {
  return (context as CountingContext | undefined)?.playbackStats?.underrunEvents;
}
