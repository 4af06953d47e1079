import { describe, expect, it } from 'vitest';
import { FlacError } from '../../engine/audio/flac.ts';
import { decodeRecording } from '../../engine/audio/recording-file.ts';
import { decodeWav, encodeWav, WavError } from '../../engine/audio/wav.ts';
import files from '../reference/audio-files.json' with { type: 'json' };

function ascii(text: string): number[] {
  return [...text].map((letter) => letter.charCodeAt(0));
}

function u16(value: number): number[] {
  return [value & 255, value >> 8];
}

function u32(value: number): number[] {
  return [...u16(value & 0xffff), ...u16(value >>> 16)];
}

function chunk(id: string, body: readonly number[]): number[] {
  return [...ascii(id), ...u32(body.length), ...body, ...(body.length % 2 === 1 ? [0] : [])];
}

function riff(...chunks: number[][]): Uint8Array {
  const body = [...ascii('WAVE'), ...chunks.flat()];
  return Uint8Array.from([...ascii('RIFF'), ...u32(body.length), ...body]);
}

function format(code: number, channels: number, bits: number, extension: number[] = []): number[] {
  const frame = (channels * bits) / 8;
  const fields = [u16(code), u16(channels), u32(48000), u32(48000 * frame), u16(frame), u16(bits), extension];
  return chunk('fmt ', fields.flat());
}

function firstChannel(bytes: Uint8Array): number[] {
  return [...(decodeWav(bytes).channels[0] ?? [])];
}

describe('decodeWav', () => {
  it.each(files.wav)('reads a file of another program: $name', ({ base64, sampleRateHz, channelCount }) => {
    const recording = decodeWav(Uint8Array.from(Buffer.from(base64, 'base64')));
    expect(recording.sampleRateHz).toBe(sampleRateHz);
    expect(recording.channels.length).toBe(channelCount);
    expect(recording.truncated).toBe(false);
    files.wavSamples.forEach((sample, n) => {
      // every encoding here holds 16-bit samples exactly
      expect(recording.channels[n % channelCount]?.[Math.floor(n / channelCount)]).toBe(sample / 32768);
    });
  });

  it('reads 8-bit samples as unsigned', () => {
    expect(firstChannel(riff(format(1, 1, 8), chunk('data', [0, 128, 255])))).toEqual([-1, 0, 127 / 128]);
  });

  it('reads 24-bit samples with their sign', () => {
    const data = [0xff, 0xff, 0x7f, 0, 0, 0x80, 0xff, 0xff, 0xff];
    expect(firstChannel(riff(format(1, 1, 24), chunk('data', data)))).toEqual([
      1 - 2 ** -23,
      -1,
      -(2 ** -23),
    ]);
  });

  it('skips other chunks, also of odd length, before and between its own', () => {
    const bytes = riff(
      chunk('LIST', [1, 2, 3]),
      format(1, 1, 16),
      chunk('odd ', [9]),
      chunk('data', u16(0x4000)),
      chunk('tail', [1]),
    );
    expect(firstChannel(bytes)).toEqual([0.5]);
  });

  it('reads the data before the format if they come in that order', () => {
    expect(firstChannel(riff(chunk('data', u16(0x4000)), format(1, 1, 16)))).toEqual([0.5]);
  });

  it('reads the samples of truncated data, and reports it', () => {
    const bytes = riff(format(1, 1, 16), chunk('data', [...u16(0x4000), ...u16(0x2000), ...u16(0x1000)]));
    const recording = decodeWav(bytes.slice(0, bytes.length - 3));
    expect([...(recording.channels[0] ?? [])]).toEqual([0.5]);
    expect(recording.truncated).toBe(true);
  });

  it('reads to the end where the length was never filled in', () => {
    for (const length of [0, 0xffffffff]) {
      const bytes = riff(format(1, 1, 16), [
        ...ascii('data'),
        ...u32(length),
        ...u16(0x4000),
        ...u16(0x2000),
      ]);
      expect(firstChannel(bytes)).toEqual([0.5, 0.25]);
    }
  });

  it('takes the sample format of an extensible file from its sub-format', () => {
    const guidTail = [0, 0, 0, 0, 0x10, 0, 0x80, 0, 0, 0xaa, 0, 0x38, 0x9b, 0x71];
    const extension = [...u16(22), ...u16(32), ...u32(4), ...u16(3), ...guidTail];
    const half = [0, 0, 0, 0x3f];
    expect(firstChannel(riff(format(0xfffe, 1, 32, extension), chunk('data', half)))).toEqual([0.5]);
  });

  it.each([
    ['not a WAV file: it is shorter than a WAV header', Uint8Array.from(ascii('RIFF'))],
    ['not a WAV file: it does not begin with RIFF and WAVE', Uint8Array.from(ascii('ID3 and more bytes'))],
    ['the format (fmt) chunk is missing', riff(chunk('data', [0, 0]))],
    ['the data chunk is missing', riff(format(1, 1, 16))],
    ['its format (fmt) chunk is too short', riff(chunk('fmt ', [1, 0]), chunk('data', [0, 0]))],
    ['its extensible format chunk is too short', riff(format(0xfffe, 1, 16), chunk('data', [0, 0]))],
    ['compressed (format code 85)', riff(format(85, 1, 16), chunk('data', [0, 0]))],
    ['12-bit samples; 8, 16, 24, 32 bits are supported', riff(format(1, 1, 12), chunk('data', [0, 0]))],
    ['16-bit samples; 32, 64 bits are supported', riff(format(3, 1, 16), chunk('data', [0, 0]))],
    ['states no channels', riff(format(1, 0, 16), chunk('data', [0, 0]))],
  ])('says in one sentence: %s', (message, bytes) => {
    expect(() => decodeWav(bytes)).toThrow(WavError);
    expect(() => decodeWav(bytes)).toThrow(message);
  });
});

describe('encodeWav', () => {
  it('writes a floating-point file byte by byte as the format defines', () => {
    const bytes = encodeWav({
      sampleRateHz: 48000,
      channels: [Float64Array.of(0.5, -2), Float64Array.of(0, 1)],
    });
    const expected = [
      ...ascii('RIFF'),
      ...u32(66),
      ...ascii('WAVE'),
      ...ascii('fmt '),
      ...u32(18),
      ...u16(3),
      ...u16(2),
      ...u32(48000),
      ...u32(384000),
      ...u16(8),
      ...u16(32),
      ...u16(0),
      ...ascii('fact'),
      ...u32(4),
      ...u32(2),
      ...ascii('data'),
      ...u32(16),
      ...[0, 0, 0, 0x3f],
      ...[0, 0, 0, 0],
      ...[0, 0, 0, 0xc0],
      ...[0, 0, 0x80, 0x3f],
    ];
    expect([...bytes]).toEqual(expected);
  });

  it('reads back what was written, except for the rounding to 32 bits', () => {
    const channel = Float64Array.from({ length: 100 }, (_, n) => Math.sin(n) * 3);
    const recording = decodeWav(encodeWav({ sampleRateHz: 44100, channels: [channel] }));
    expect(recording.sampleRateHz).toBe(44100);
    expect(recording.channels[0]).toEqual(channel.map(Math.fround));
  });

  it('refuses channels of different lengths, and no channels', () => {
    expect(() => encodeWav({ sampleRateHz: 1, channels: [] })).toThrow(RangeError);
    const channels = [new Float64Array(1), new Float64Array(2)];
    expect(() => encodeWav({ sampleRateHz: 1, channels })).toThrow(RangeError);
  });
});

describe('decodeRecording', () => {
  it('distinguishes FLAC from WAV by the first bytes', () => {
    expect(decodeRecording(riff(format(1, 1, 16), chunk('data', u16(0x4000)))).channels[0]?.[0]).toBe(0.5);
    expect(() => decodeRecording(Uint8Array.from(ascii('fLaC')))).toThrow(FlacError);
    expect(() => decodeRecording(new Uint8Array(2))).toThrow(WavError);
  });
});
