import type { OversamplingFactor, ResamplingQuality } from '../../engine/audio/oversampler.ts';
import { type BenchOptions, PROCESSOR_NAME } from '../../worklets/bench-messages.ts';

/** Linear-phase filters have too much delay for playing. */
export const LIVE_QUALITY: ResamplingQuality = 'low-latency';

/** Memory shared with the processor, if the page may have it. */
interface SharedMemory {
  readonly telemetry: SharedArrayBuffer | undefined;
  readonly scope: SharedArrayBuffer | undefined;
}

/** The processor's node: one channel in, one out. Its module has to be in the context already. */
export function makeBenchNode(
  context: AudioContext,
  factor: OversamplingFactor,
  { telemetry, scope }: SharedMemory,
): AudioWorkletNode {
  const processorOptions: BenchOptions = {
    sampleRateHz: context.sampleRate,
    factor,
    quality: LIVE_QUALITY,
    ...(telemetry ? { telemetry } : {}),
    ...(scope ? { scope } : {}),
  };
  return new AudioWorkletNode(context, PROCESSOR_NAME, {
    numberOfInputs: 1,
    numberOfOutputs: 1,
    outputChannelCount: [1],
    channelCount: 1,
    channelCountMode: 'explicit',
    processorOptions,
  });
}
