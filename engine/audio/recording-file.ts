import { decodeFlac } from './flac.ts';
import type { Recording } from './recording.ts';
import { decodeWav } from './wav.ts';

/**
 * Decodes a FLAC or WAV file, told apart by its first bytes.
 * Throws FlacError or WavError. Allocates; not for the audio thread.
 */
export function decodeRecording(bytes: Uint8Array): Recording {
  const marker = String.fromCharCode(...bytes.slice(0, 4));
  return marker === 'fLaC' ? decodeFlac(bytes) : decodeWav(bytes);
}
