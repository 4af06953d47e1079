import { type FromRoundTrip, ROUND_TRIP_PROCESSOR, type RoundTripOptions } from './bench-messages.ts';
import { LoopRecorder } from './loop-recorder.ts';

/** Plays a test signal once, posts the recording, and ends. */
class RoundTripProcessor extends AudioWorkletProcessor {
  readonly #recorder: LoopRecorder;

  constructor({ processorOptions }: { processorOptions: RoundTripOptions }) {
    super();
    this.#recorder = new LoopRecorder(processorOptions.signal, processorOptions.leadInFrames);
  }

  process(inputs: Float32Array[][], outputs: Float32Array[][]): boolean {
    const output = outputs[0]?.[0];
    if (output === undefined) return true;
    this.#recorder.process(inputs[0]?.[0], output);
    if (!this.#recorder.isDone) return true;
    const message: FromRoundTrip = { recorded: this.#recorder.recorded };
    this.port.postMessage(message);
    return false;
  }
}

registerProcessor(ROUND_TRIP_PROCESSOR, RoundTripProcessor);
