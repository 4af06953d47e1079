import { roundTripSignal } from '../../engine/analysis/round-trip.ts';
import { Refusal } from '../../engine/input/refusal.ts';
import {
  type FromRoundTrip,
  ROUND_TRIP_PROCESSOR,
  type RoundTripOptions,
} from '../../worklets/bench-messages.ts';
import workletUrl from '../../worklets/round-trip.worklet.ts?worklet';

/** Silence before the test signal, in which the builds fade out. */
const LEAD_IN_SECONDS = 0.3;
/** Far longer than silence and signal; a context that has stopped never ends. */
const MOST_MS = 8000;

/**
 * Plays the test signal at the context's output and returns the recording of `input`.
 *
 * @throws Error in plain words where the audio thread gives no answer.
 */
export async function recordLoop(context: AudioContext, input: AudioNode): Promise<Float32Array> {
  await context.audioWorklet.addModule(workletUrl);
  const processorOptions: RoundTripOptions = {
    signal: roundTripSignal(),
    leadInFrames: Math.round(LEAD_IN_SECONDS * context.sampleRate),
  };
  const node = new AudioWorkletNode(context, ROUND_TRIP_PROCESSOR, {
    numberOfInputs: 1,
    numberOfOutputs: 1,
    outputChannelCount: [1],
    channelCount: 1,
    channelCountMode: 'explicit',
    processorOptions,
  });
  input.connect(node).connect(context.destination);
  let timer = 0;
  try {
    return await new Promise((resolve, reject) => {
      node.port.onmessage = ({ data }: MessageEvent<FromRoundTrip>) => resolve(data.recorded);
      timer = window.setTimeout(
        () => reject(new Refusal('input', 'the audio thread gave no recording')),
        MOST_MS,
      );
    });
  } finally {
    clearTimeout(timer);
    input.disconnect(node);
    node.disconnect();
  }
}
