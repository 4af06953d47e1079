import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { decodeFlac, FlacError, type FlacRecording } from '../../engine/audio/flac.ts';
import files from '../reference/audio-files.json' with { type: 'json' };

/** MD5 of the decoded samples as RFC 9639 section 8.2 defines it: interleaved, little endian, whole bytes. */
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

/** Remainder of a polynomial division bit by bit, RFC 9639 sections 9.1.8 and 9.3. */
function checksum(bytes: readonly number[], width: number, polynomial: number): number {
  let remainder = 0;
  for (const byte of bytes) {
    for (let bit = 7; bit >= 0; bit--) {
      const out = ((remainder >> (width - 1)) ^ (byte >> bit)) & 1;
      remainder = ((remainder << 1) & (2 ** width - 1)) ^ (out === 1 ? polynomial : 0);
    }
  }
  return remainder;
}

/** The bytes of '101 0011' and the like, with zeros at the end. */
function packed(bits: string): number[] {
  const digits = bits.replaceAll(' ', '');
  return (digits.padEnd(Math.ceil(digits.length / 8) * 8, '0').match(/.{8}/g) ?? []).map((x) =>
    Number.parseInt(x, 2),
  );
}

/** A file of one 16-bit mono frame of four samples at 48 kHz, with the given subframe. */
function fileWith(subframe: string): Uint8Array {
  const digits = (value: number, bits: number): string => value.toString(2).padStart(bits, '0');
  const sizes = digits(4, 16) + digits(4, 16) + digits(0, 48);
  const info = packed(`${sizes}${digits(48000, 20)} 000 01111 ${digits(4, 36)} ${digits(0, 128)}`);
  // sync, fixed blocks, size in 8 bits, 48 kHz, one channel, 16 bits, frame 0, four samples
  const header = packed('11111111 11111000 0110 1010 0000 100 0 00000000 00000011');
  const frame = [...header, checksum(header, 8, 0x07), ...packed(subframe)];
  const check = checksum(frame, 16, 0x8005);
  return Uint8Array.from([
    ...Buffer.from('fLaC'),
    0x80,
    0,
    0,
    34,
    ...info,
    ...frame,
    check >> 8,
    check & 255,
  ]);
}

function samplesOf(file: Uint8Array): number[] {
  return [...(decodeFlac(file).channels[0] ?? [])].map((x) => x * 32768);
}

describe('decodeFlac', () => {
  it('reads residuals that are stored unencoded, with and without bits', () => {
    // fixed predictor of order 0, one partition, parameter 1111 (escape), five bits each
    expect(samplesOf(fileWith('0 001000 0 00 0000 1111 00101 00001 11111 01111 10000'))).toEqual([
      1, -1, 15, -16,
    ]);
    expect(samplesOf(fileWith('0 001000 0 00 0000 1111 00000'))).toEqual([0, 0, 0, 0]);
  });

  it('reads long parameters, an order-1 predictor and wasted bits in a file made by hand', () => {
    // warm-up 3 in 15 bits, residuals +1, −1, +2 with parameter 1, all doubled by one wasted bit
    const subframe = '0 001001 1 1 000000000000011 01 0000 00001 01 0 1 1 001 0';
    expect(samplesOf(fileWith(subframe))).toEqual([6, 8, 6, 10]);
  });

  it('refuses reserved codes', () => {
    expect(() => decodeFlac(fileWith('0 000010 0 00'))).toThrow('reserved kind of subframe');
    expect(() => decodeFlac(fileWith('0 001000 0 10 0000'))).toThrow('reserved residual coding');
    expect(() => decodeFlac(fileWith('0 100000 0 0000000000000001 1111 00000'))).toThrow(
      'reserved predictor',
    );
    expect(() => decodeFlac(fileWith('0 001000 0 00 0011 0000'))).toThrow('does not fit its frame');
  });

  it.each(files.flac)('gives the samples whose MD5 the encoder stored: $name', ({ base64 }) => {
    const recording = decodeFlac(Uint8Array.from(Buffer.from(base64, 'base64')));
    expect(recording.sampleRateHz).toBe(48000);
    expect(md5Of(recording)).toBe(recording.md5);
  });

  it.each(['fifths', 'slide', 'harmonics'])('gives the stored samples of guitar-%s.flac', (name) => {
    const url = new URL(`../../presets/recordings/guitar-${name}.flac`, import.meta.url);
    const recording = decodeFlac(Uint8Array.from(readFileSync(url)));
    expect(recording.sampleRateHz).toBe(44100);
    expect(md5Of(recording)).toBe(recording.md5);
  });

  it('reads a file that begins inside a buffer', () => {
    const bytes = bytesOf('silence');
    const buffer = new Uint8Array(bytes.length + 10);
    buffer.set(bytes, 10);
    expect(decodeFlac(buffer.subarray(10)).channels[0]?.length).toBe(400);
  });

  it('refuses a file that is not FLAC', () => {
    expect(() => decodeFlac(new Uint8Array(0))).toThrow('not a FLAC file');
    expect(() => decodeFlac(Uint8Array.from(Buffer.from('RIFF....WAVE')))).toThrow(FlacError);
  });

  it('reports that a file is cut off, wherever it is cut', () => {
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
