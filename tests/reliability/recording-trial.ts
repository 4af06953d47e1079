import { firstChannelAt } from '../../engine/audio/recording-file.ts';
import { allSlices } from '../../engine/audio/slices.ts';
import { MOST_SAMPLE } from '../../engine/input/limits.ts';
import { Refusal } from '../../engine/input/refusal.ts';
import { cpuSeconds } from './cpu-time.ts';
import type { Verdict } from './kind.ts';
import { refusalFault } from './refusal.ts';

const SAMPLE_RATE_HZ = 48_000;
/** The filter's own ripple may exceed the largest sample. */
const MOST_PLAYED = 3 * MOST_SAMPLE;

/** The page's steps with a recording: read its first channel at the sample rate of the sound card. */
export function tryRecording(bytes: Uint8Array): Verdict {
  const { result: fault, seconds } = cpuSeconds(() => {
    try {
      const { samples, warnings } = allSlices(firstChannelAt(bytes, SAMPLE_RATE_HZ));
      const wrong = samples.findIndex((sample) => !(Math.abs(sample) <= MOST_PLAYED));
      if (wrong >= 0) return `sample ${wrong} is ${samples[wrong]}`;
      return warnings.map(refusalFault).find((found) => found !== undefined);
    } catch (error) {
      if (error instanceof Refusal) return refusalFault(error.message);
      throw error;
    }
  });
  return { fault, figure: seconds };
}
