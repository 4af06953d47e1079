import type { OversamplingFactor } from '../../engine/audio/oversampler.ts';
import { benchLatencySamples } from '../../worklets/bench-engine.ts';
import { LIVE_QUALITY } from './bench-node.ts';

/** Milliseconds between string and ear, as far as the browser gives them. */
export interface Latency {
  readonly baseMs: number;
  /** Undefined if it is not known. */
  readonly outputMs: number | undefined;
  readonly engineMs: number;
}

export const NO_LATENCY: Latency = { baseMs: 0, outputMs: 0, engineMs: 0 };

/** The fallback buffers so many frames twice over. */
const FALLBACK_FRAMES = 2 * 2048;

/** Latency of a context plus that of the engine at an oversampling factor. Do not call it in every frame. */
export function latencyOf(context: AudioContext, factor: OversamplingFactor, usesFallback: boolean): Latency {
  const { sampleRate, baseLatency } = context;
  const engine = benchLatencySamples({ sampleRateHz: sampleRate, factor, quality: LIVE_QUALITY });
  const buffered = usesFallback ? FALLBACK_FRAMES : 0;
  return {
    baseMs: 1000 * (baseLatency ?? 0),
    outputMs: outputMsOf(context),
    engineMs: (1000 * (engine + buffered)) / sampleRate,
  };
}

/**
 * Firefox is never asked: it takes the lock of its audio graph and then waits for the sound card, which may be waiting
 * for that graph. The page and the sound then stop for good. Firefox keeps its answer, so only the first
 * reading matters: of 17 launches of Firefox 153 it froze 3, once at a single reading four seconds after the start.
 * `getOutputTimestamp` reads the same; `currentTime` and `baseLatency` take no lock.
 */
function outputMsOf(context: AudioContext): number | undefined {
  // Zero where a browser does not know it, as WebKitGTK, or not yet.
  const seconds = isGecko() ? 0 : context.outputLatency;
  return seconds ? 1000 * seconds : undefined;
}

/** Other engines call themselves "like Gecko", without a number. */
function isGecko(): boolean {
  return /\bGecko\/\d/.test(navigator.userAgent);
}

/** Counter of some browsers, not in the DOM types yet. */
interface CountingContext {
  readonly playbackStats?: { readonly underrunEvents?: number };
}

/** Gaps in the sound since the context was opened; undefined where the browser does not count them. */
export function underrunsOf(context: AudioContext | undefined): number | undefined {
  return (context as CountingContext | undefined)?.playbackStats?.underrunEvents;
}
