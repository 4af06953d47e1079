/** Test signals and measurements for the audio tests. */

export function sine(frames: number, frequencyHz: number, sampleRateHz: number, amplitude = 1): Float64Array {
  const signal = new Float64Array(frames);
  for (let n = 0; n < frames; n++) {
    signal[n] = amplitude * Math.sin((2 * Math.PI * frequencyHz * n) / sampleRateHz);
  }
  return signal;
}

/** Repeatable noise, uniform in ±1 (mulberry32). */
export function noise(frames: number, seed: number): Float64Array {
  let state = seed;
  const signal = new Float64Array(frames);
  for (let n = 0; n < frames; n++) {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    signal[n] = ((t ^ (t >>> 14)) >>> 0) / 2147483648 - 1;
  }
  return signal;
}

export interface Tone {
  readonly amplitude: number;
  /** Phase of the sine, rad. */
  readonly phase: number;
}

/**
 * Amplitude and phase of one frequency under a Blackman-Harris window (side lobes below −92 dB), so that
 * the frequency need not fit the block.
 */
export function toneAt(signal: Float64Array, frequencyHz: number, sampleRateHz: number, start = 0): Tone {
  const length = signal.length - start;
  let re = 0;
  let im = 0;
  let gain = 0;
  for (let n = 0; n < length; n++) {
    const x = (2 * Math.PI * n) / length;
    const window = 0.35875 - 0.48829 * Math.cos(x) + 0.14128 * Math.cos(2 * x) - 0.01168 * Math.cos(3 * x);
    const angle = (2 * Math.PI * frequencyHz * (start + n)) / sampleRateHz;
    re += window * signal[start + n]! * Math.sin(angle);
    im += window * signal[start + n]! * Math.cos(angle);
    gain += window / 2;
  }
  return { amplitude: Math.hypot(re, im) / gain, phase: Math.atan2(im, re) };
}

export function decibels(ratio: number): number {
  return 20 * Math.log10(ratio);
}

/**
 * Runs a processor over a signal in blocks of the given length.
 * @param ratio Output samples for each input sample (a fraction where the rate is lowered).
 */
export function inBlocks(
  input: Float64Array,
  block: number,
  process: (input: Float64Array, frames: number, output: Float64Array) => void,
  ratio = 1,
): Float64Array {
  const output = new Float64Array(input.length * ratio);
  const step = ratio < 1 ? block / ratio : block;
  for (let start = 0; start < input.length; start += step) {
    const piece = input.slice(start, start + step);
    const frames = ratio < 1 ? piece.length * ratio : piece.length;
    const result = new Float64Array(piece.length * ratio);
    process(piece, frames, result);
    output.set(result, start * ratio);
  }
  return output;
}
