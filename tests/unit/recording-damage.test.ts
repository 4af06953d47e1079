import { createHash } from 'node:crypto';
import { describe, expect, it } from 'vitest';
import { bytesInMemory } from '../../engine/audio/byte-source.ts';
import { FlacFile } from '../../engine/audio/flac.ts';
import { Md5 } from '../../engine/audio/md5.ts';
import { RecordingError, wholeRecording } from '../../engine/audio/recording.ts';
import { decodeRecording, firstChannelAt, openRecording } from '../../engine/audio/recording-file.ts';
import { allSlices } from '../../engine/audio/slices.ts';
import { encodeWav } from '../../engine/audio/wav.ts';
import files from '../reference/audio-files.json' with { type: 'json' };
import { cpuSeconds } from '../reliability/cpu-time.ts';

const RATE_HZ = 48_000;
const flacBytes = (index: number) => Uint8Array.from(Buffer.from(files.flac[index]!.base64, 'base64'));
const channelOf = (bytes: Uint8Array, rateHz: number) => allSlices(firstChannelAt(bytes, rateHz));
const wavOf = (...samples: number[]) =>
  encodeWav({ sampleRateHz: RATE_HZ, channels: [Float64Array.from(samples)] });

/** A header of a WAV file that states this many bytes of samples, without the samples. */
function headerOf(change: { sampleRateHz?: number; channelCount?: number; dataBytes?: number }): Uint8Array {
  const bytes = wavOf(0.5);
  const view = new DataView(bytes.buffer);
  if (change.channelCount !== undefined) view.setUint16(22, change.channelCount, true);
  if (change.sampleRateHz !== undefined) view.setUint32(24, change.sampleRateHz, true);
  if (change.dataBytes !== undefined) view.setUint32(54, change.dataBytes, true);
  return bytes;
}

/** STREAMINFO begins at byte 8; RFC 9639 section 8.2. */
const RATE_AT = 18;
const FRAMES_AT = 21;
const MD5_AT = 26;

describe('MD5', () => {
  // RFC 1321 section A.5
  it.each([
    ['', 'd41d8cd98f00b204e9800998ecf8427e'],
    ['a', '0cc175b9c0f1b6a831c399e269772661'],
    ['abc', '900150983cd24fb0d6963f7d28e17f72'],
    ['message digest', 'f96b697d7cb7938d525a2f31aaf161d0'],
    ['abcdefghijklmnopqrstuvwxyz', 'c3fcd3d76192e4007dfb496cca67e13b'],
  ])('of "%s" is that of the RFC', (text, digest) => {
    const md5 = new Md5();
    md5.update(Buffer.from(text));
    expect(md5.digest()).toBe(digest);
  });

  it('is that of node for every length near a block, in pieces of any size', () => {
    for (let length = 0; length <= 130; length++) {
      const bytes = Buffer.from(Array.from({ length }, (_, n) => (7 * n + length) & 255));
      const md5 = new Md5();
      md5.update(bytes.subarray(0, length >> 2));
      md5.update(bytes.subarray(length >> 2));
      expect(md5.digest()).toBe(createHash('md5').update(bytes).digest('hex'));
    }
  });
});

describe('a FLAC file', () => {
  it('whose samples do not match its checksum is played, with a message', () => {
    const bytes = flacBytes(0);
    const whole = channelOf(bytes, RATE_HZ);
    expect(whole.warnings).toEqual([]);
    bytes[MD5_AT]! ^= 1;
    const damaged = channelOf(bytes, RATE_HZ);
    expect(damaged.samples).toEqual(whole.samples);
    expect(damaged.warnings).toEqual([expect.stringMatching(/checksum/)]);
  });

  it('without a checksum gives no message about it', () => {
    const bytes = flacBytes(0);
    bytes.fill(0, MD5_AT, MD5_AT + 16);
    expect(channelOf(bytes, RATE_HZ).warnings).toEqual([]);
  });

  it.each(files.flac.map(({ name }, index) => [name, index] as const))(
    'matches its own checksum, also when it is read again: %s',
    (_, index) => {
      const file = new FlacFile(bytesInMemory(flacBytes(index)));
      for (let pass = 0; pass < 2; pass++) {
        expect([...file.pieces()].reduce((sum, piece) => sum + piece[0]!.length, 0)).toBe(file.frames);
        expect(file.warnings).toEqual([]);
      }
    },
  );

  it('whose frames have another sample rate than its header is refused', () => {
    const bytes = flacBytes(0);
    // 20 bits of sample rate: 44,100 instead of 48,000
    bytes.set([0x0a, 0xc4, 0x40 | (bytes[RATE_AT + 2]! & 0x0f)], RATE_AT);
    expect(() => decodeRecording(bytes)).toThrow(/header says 44100 Hz, and a frame 48000 Hz/);
  });

  it('without a sample rate, or with more samples than the limit, is refused before memory is allocated', () => {
    const still = flacBytes(0);
    still.set([0, 0, still[RATE_AT + 2]! & 0x0f], RATE_AT);
    expect(() => openRecording(bytesInMemory(still))).toThrow(RecordingError);
    const long = flacBytes(0);
    long.fill(0xff, FRAMES_AT + 1, FRAMES_AT + 5);
    expect(() => openRecording(bytesInMemory(long))).toThrow(/longer than 45 minutes/);
  });
});

describe('a WAV file', () => {
  it('plays silence for samples that are not numbers or far too large, and counts them', () => {
    const bytes = wavOf(0.5, Number.NaN, Number.NEGATIVE_INFINITY, 1e30, -2, 0.25);
    const { samples, warnings } = channelOf(bytes, RATE_HZ);
    expect([...samples]).toEqual([0.5, 0, 0, 0, -2, 0.25]);
    expect(warnings).toEqual([expect.stringMatching(/^3 samples are not numbers/)]);
    // a second reading does not count them twice
    const file = openRecording(bytesInMemory(bytes));
    for (const pass of [1, 2])
      expect([pass, [...file.pieces()].length, file.warnings]).toEqual([pass, 1, warnings]);
  });

  it('that ends early is played, with a message', () => {
    const { samples, warnings } = channelOf(headerOf({ dataBytes: 4 * RATE_HZ }), RATE_HZ);
    expect([...samples]).toEqual([0.5]);
    expect(warnings).toEqual([expect.stringMatching(/ends after 0\.00 of 1\.00 s/)]);
  });

  it.each([
    [{ sampleRateHz: 0 }, /sample rate of 0 Hz/],
    [{ sampleRateHz: 7 }, /sample rate of 7 Hz; recordings have 8000 to 384000 Hz/],
    [{ sampleRateHz: 4_000_000_000 }, /sample rate of 4000000000 Hz/],
    [{ channelCount: 33 }, /33 channels; recordings have 1 to 32/],
  ])('that states what no recording has is refused: %o', (change, message) => {
    expect(() => openRecording(bytesInMemory(headerOf(change)))).toThrow(message);
  });

  it('that is too long for the limit is refused before it is read', () => {
    const header = wavOf();
    // Eleven minutes at 8 bits: the rest of such a file is never read.
    const length = 58 + 11 * 60 * 8000;
    const view = new DataView(header.buffer);
    view.setUint16(20, 1, true);
    view.setUint32(24, 8000, true);
    view.setUint16(34, 8, true);
    view.setUint32(54, length - 58, true);
    let asked = 0;
    const file = openRecording({
      length,
      read: (at, count) => {
        asked += count;
        return header.subarray(at, at + count);
      },
    });
    expect(file.frames).toBe(11 * 60 * 8000);
    expect(() => wholeRecording(file)).toThrow(
      /lasts 660 s, too long to be held at once: cut it to 10 minutes/,
    );
    expect(asked).toBeLessThan(1000);
  });
});

describe('another sample rate', () => {
  it('of any value takes about as long as a usual one', () => {
    const samples = Float64Array.from({ length: 5 * 44_100 }, (_, n) => Math.sin(n));
    const seconds = (fromHz: number) => {
      const bytes = encodeWav({ sampleRateHz: fromHz, channels: [samples] });
      return cpuSeconds(() => channelOf(bytes, RATE_HZ)).seconds;
    };
    seconds(44_100);
    let ratio = Number.POSITIVE_INFINITY;
    // Two filters a sample instead of one, and the shortest of several tries, because a busy machine adds time to both.
    for (let round = 0; round < 5 && ratio > 4; round++)
      ratio = Math.min(ratio, seconds(44_099) / seconds(44_100));
    expect(ratio).toBeLessThan(4);
  });
});
