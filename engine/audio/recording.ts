import {
  LONGEST_SOUND_SECONDS,
  LONGEST_STREAM_SECONDS,
  MOST_CHANNELS,
  MOST_HELD_SAMPLES,
  RECORDING_RATE_HZ,
} from '../input/limits.ts';
import { Refusal } from '../input/refusal.ts';
import { allSlices, type Slices } from './slices.ts';

/** Decoded audio in full-scale units: ±1 is the largest value that integer samples of the file can hold. */
export interface Recording {
  readonly sampleRateHz: number;
  /** One array a channel, all of one length. */
  readonly channels: readonly Float64Array[];
}

/** A file that cannot be read as a recording; the message is one sentence for the screen. */
export class RecordingError extends Refusal {
  override readonly name: string = 'RecordingError';
  constructor(message: string) {
    super('recording', message);
  }
}

/** The shape of a recording, as its header states it. */
export interface RecordingShape {
  readonly sampleRateHz: number;
  readonly channelCount: number;
  /** Samples of each channel. */
  readonly frames: number;
}

/**
 * A recording whose samples are read piece by piece, as often as wanted. Its header was read and is valid;
 * later errors are found while reading.
 */
export interface RecordingFile extends RecordingShape {
  /**
   * All samples from the first on, one array a channel. Their length is that of the piece; they may be overwritten by
   * the next one. @throws RecordingError where the rest cannot be read.
   */
  pieces(): IterableIterator<readonly Float64Array[]>;
  /** Damage of a file that was played all the same, in sentences; complete after all pieces were read. */
  readonly warnings: readonly string[];
}

/** Why a recording of this shape is refused; undefined if it is accepted. */
export function shapeProblem({ sampleRateHz, channelCount, frames }: RecordingShape): string | undefined {
  const { least, most } = RECORDING_RATE_HZ;
  if (!(sampleRateHz >= least && sampleRateHz <= most))
    return `it states a sample rate of ${sampleRateHz} Hz; recordings have ${least} to ${most} Hz`;
  if (!(channelCount >= 1 && channelCount <= MOST_CHANNELS))
    return `it states ${channelCount} channels; recordings have 1 to ${MOST_CHANNELS}`;
  if (frames > LONGEST_STREAM_SECONDS * sampleRateHz)
    return `it is longer than ${LONGEST_STREAM_SECONDS / 60} minutes, which is not supported`;
  return undefined;
}

/** All samples of a file at once. @throws RecordingError. */
export function wholeRecording(file: RecordingFile): Recording {
  const indices = Array.from({ length: file.channelCount }, (_, index) => index);
  return { sampleRateHz: file.sampleRateHz, channels: allSlices(heldChannels(file, indices)) };
}

/** All samples of one channel. @throws RecordingError. */
export function wholeChannel(file: RecordingFile, index: number): Float64Array {
  return allSlices(heldChannels(file, [index]))[0]!;
}

/** All samples of some channels, a piece of the file in each slice. @throws RecordingError. */
export function* heldChannels(
  file: RecordingFile,
  indices: readonly number[],
): Slices<readonly Float64Array[]> {
  const { frames, sampleRateHz } = file;
  if (frames > LONGEST_SOUND_SECONDS * sampleRateHz || frames * indices.length > MOST_HELD_SAMPLES)
    throw new RecordingError(
      `it lasts ${Math.round(frames / sampleRateHz)} s, too long to be held at once: cut it to ${LONGEST_SOUND_SECONDS / 60} minutes`,
    );
  const channels = indices.map(() => new Float64Array(frames));
  let done = 0;
  for (const piece of file.pieces()) {
    for (const [at, index] of indices.entries()) channels[at]!.set(piece[index]!, done);
    done += piece[0]!.length;
    yield;
  }
  return channels;
}
