import { readFileSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { fileURLToPath } from 'node:url';
import { decodeFlac } from '../../engine/audio/flac.ts';
import { encodeWav } from '../../engine/audio/wav.ts';

const RECORDING = fileURLToPath(new URL('../../presets/recordings/guitar-fifths.flac', import.meta.url));

/** Writes the WAV that Chromium plays as an interface. @param gain 0 for an interface without a guitar. */
export function writeInputFile(folder: string, gain: number): string {
  const { sampleRateHz, channels } = decodeFlac(readFileSync(RECORDING));
  const file = path.join(folder, gain === 0 ? 'silence.wav' : 'guitar.wav');
  const scaled = channels.map((channel) => channel.map((sample) => gain * sample));
  writeFileSync(file, encodeWav({ sampleRateHz, channels: scaled }));
  return file;
}
