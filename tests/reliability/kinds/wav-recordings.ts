import { Dice } from '../dice.ts';
import { hostileWav } from '../hostile-recordings.ts';
import type { Kind } from '../kind.ts';
import { tryRecording } from '../recording-trial.ts';

/** WAV files with flipped bytes, cut ends, and headers with impossible values. */
export const kind: Kind = {
  name: 'mutated WAV recordings',
  figure: { name: 'slowest', unit: 's of processor time', most: 2 },
  attempt: (seed) => tryRecording(hostileWav(new Dice(seed))),
};
