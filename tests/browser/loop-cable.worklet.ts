/**
 * A cable from output to input for tests: one processor's input is the other's output a number of samples later. Both
 * write and read by the number of the sample, so the loop in the audio graph adds no delay.
 */
const ring = new Float32Array(1 << 16);

class CableEnd extends AudioWorkletProcessor {
  process(inputs: Float32Array[][]): boolean {
    const input = inputs[0]?.[0];
    for (let frame = 0; frame < 128; frame++)
      ring[(currentFrame + frame) % ring.length] = input?.[frame] ?? 0;
    return true;
  }
}

class CableStart extends AudioWorkletProcessor {
  readonly #delay: number;
  readonly #gain: number;

  constructor({ processorOptions }: { processorOptions: { delaySamples: number; gain: number } }) {
    super();
    this.#delay = processorOptions.delaySamples;
    this.#gain = processorOptions.gain;
  }

  process(_: Float32Array[][], outputs: Float32Array[][]): boolean {
    const output = outputs[0]![0]!;
    for (let frame = 0; frame < output.length; frame++) {
      const at = currentFrame + frame - this.#delay;
      const sample = at < 0 ? 0 : ring[at % ring.length]!;
      output[frame] = Math.max(-1, Math.min(1, this.#gain * sample));
    }
    return true;
  }
}

registerProcessor('test-cable-end', CableEnd);
registerProcessor('test-cable-start', CableStart);
