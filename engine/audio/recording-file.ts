import { type ByteSource, bytesInMemory } from './byte-source.ts';
import { FlacFile } from './flac.ts';
import { heldChannels, type Recording, type RecordingFile, wholeRecording } from './recording.ts';
import { resampleInSlices } from './resample.ts';
import type { Slices } from './slices.ts';
import { WavFile } from './wav.ts';

/**
 * A FLAC or WAV file, told apart by its first bytes, to be read in pieces.
 * Throws FlacError or WavError. Allocates; not for the audio thread.
 */
export function openRecording(source: ByteSource): RecordingFile {
  const marker = String.fromCharCode(...source.read(0, 4));
  return marker === 'fLaC' ? new FlacFile(source) : new WavFile(source);
}

/** All of it at once. Throws FlacError or WavError. */
export function decodeRecording(bytes: Uint8Array): Recording {
  return wholeRecording(openRecording(bytesInMemory(bytes)));
}

/** One channel of a file, to be played. */
export interface PlayableChannel {
  readonly samples: Float64Array;
  /** Damage of a file that is played all the same, in sentences. */
  readonly warnings: readonly string[];
}

/** The first channel at another rate, in slices. Throws FlacError or WavError. */
export function* firstChannelAt(bytes: Uint8Array, sampleRateHz: number): Slices<PlayableChannel> {
  const file = openRecording(bytesInMemory(bytes));
  const [samples] = yield* heldChannels(file, [0]);
  return {
    samples:
      file.sampleRateHz === sampleRateHz
        ? samples!
        : yield* resampleInSlices(samples!, file.sampleRateHz, sampleRateHz),
    warnings: file.warnings,
  };
}
