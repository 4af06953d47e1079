import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { decodeFlac, FlacError, type FlacRecording } from '../../engine/audio/flac.ts';
import files from '../reference/audio-files.json' with { type: 'json' };

/** MD5 of the decoded samples as RFC 9639 section 8.2 wants it: interleaved, little endian, whole bytes. */
function md5Of(recording: FlacRecording): string {
  const { bitsPerSample, channels } = recording;
  const width = Math.ceil(bitsPerSample / 8);
  const frames = channels[0]?.length ?? 0;
  const bytes = Buffer.alloc(width * channels.length * frames);
  for (let n = 0; n < frames; n++) {
    channels.forEach((channel, index) => {
      const sample = channel[n]! * 2 ** (bitsPerSample - 1);
      bytes.writeIntLE(sample, width * (n * channels.length + index), width);
    });
  }
  return createHash('md5').update(bytes).digest('hex');
}

function bytesOf(name: string): Uint8Array {
  const file = files.flac.find((entry) => entry.name === name);
  return Uint8Array.from(Buffer.from(file?.base64 ?? '', 'base64'));
}

describe('decodeFlac', () => {
  it.each(files.flac)('gives the samples whose MD5 the encoder stored: $name', ({ base64 }) => {
    const recording = decodeFlac(Uint8Array.from(Buffer.from(base64, 'base64')));
    expect(recording.sampleRateHz).toBe(48000);
    expect(md5Of(recording)).toBe(recording.md5);
  });

  it.each(['fifths', 'slide', 'harmonics'])('gives the samples of guitar-%s.flac', (name) => {
    const url = new URL(`../../presets/recordings/guitar-${name}.flac`, import.meta.url);
    const recording = decodeFlac(Uint8Array.from(readFileSync(url)));
    expect(recording.sampleRateHz).toBe(44100);
    expect(md5Of(recording)).toBe(recording.md5);
  });

  it('reads a file that begins midway in a buffer', () => {
    const bytes = bytesOf('silence');
    const buffer = new Uint8Array(bytes.length + 10);
    buffer.set(bytes, 10);
    expect(decodeFlac(buffer.subarray(10)).channels[0]?.length).toBe(400);
  });

  it('refuses what is no FLAC file', () => {
    expect(() => decodeFlac(new Uint8Array(0))).toThrow('not a FLAC file');
    expect(() => decodeFlac(Uint8Array.from(Buffer.from('RIFF....WAVE')))).toThrow(FlacError);
  });

  it('says that a file is cut off, wherever it is cut', () => {
    const bytes = bytesOf('mid and side');
    for (let length = 4; length < bytes.length; length++) {
      expect(() => decodeFlac(bytes.slice(0, length)), `${length} bytes`).toThrow(FlacError);
    }
  });

  it('notices a flipped bit anywhere in the audio', () => {
    const bytes = bytesOf('one block of linear prediction');
    const audioAt = bytes.findIndex((byte, at) => byte === 0xff && bytes[at + 1] === 0xf8);
    for (let at = audioAt; at < bytes.length; at += 7) {
      const damaged = bytes.slice();
      damaged[at] = damaged[at]! ^ 0x10;
      expect(() => decodeFlac(damaged), `byte ${at}`).toThrow(FlacError);
    }
  });
});
