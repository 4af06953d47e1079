import { FACTOR } from './doubling-factor.ts';

/** The smallest processor whose output shows that it ran: input times an imported constant. */
class DoublingProcessor extends AudioWorkletProcessor {
  process(inputs: Float32Array[][], outputs: Float32Array[][]): boolean {
    const source = inputs[0]?.[0];
    const target = outputs[0]?.[0];
    if (source === undefined || target === undefined) return true;
    for (let n = 0; n < target.length; n++) target[n] = FACTOR * source[n]!;
    return true;
  }
}

registerProcessor('doubling', DoublingProcessor);
