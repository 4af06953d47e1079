import { Upsampler } from '../../engine/audio/oversampler.ts';
import { decodeRecording } from '../../engine/audio/recording-file.ts';
import { resample } from '../../engine/audio/resample.ts';
import { bundledRecording } from '../../engine/cli/preset-files.ts';
import { SAMPLE_RATE_HZ } from './solver-benchmark.ts';

const RECORDING = 'guitar-fifths';

/** The first seconds of the bundled riff in volts at 48 kHz, repeated if the riff is shorter. */
export function recordingInput(seconds: number): Float64Array {
  const recording = bundledRecording(RECORDING);
  if (!recording) throw new Error(`the recording ${RECORDING} is missing`);
  const { channels, sampleRateHz } = decodeRecording(Uint8Array.from(recording.bytes));
  const samples = resample(channels[0]!, sampleRateHz, SAMPLE_RATE_HZ);
  const peak = samples.reduce((largest, sample) => Math.max(largest, Math.abs(sample)), 0);
  const frames = Math.round(seconds * SAMPLE_RATE_HZ);
  return Float64Array.from(
    { length: frames },
    (_, frame) => (recording.peakVolts / peak) * samples[frame % samples.length]!,
  );
}

/** A signal at the rate of the solver. */
export function oversampled(inputV: Float64Array, factor: 8 | 16): Float64Array {
  const dense = new Float64Array(inputV.length * factor);
  new Upsampler({
    factor,
    quality: 'low-latency',
    sampleRateHz: SAMPLE_RATE_HZ,
    maxFrames: inputV.length,
  }).process(inputV, inputV.length, dense);
  return dense;
}
