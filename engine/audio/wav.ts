import type { Recording } from './recording.ts';

/** What a WAV file held. */
export interface WavRecording extends Recording {
  /** The file ends before the length it states; what is there was decoded. */
  readonly truncated: boolean;
}

/** A file that cannot be read as WAV; the message is one sentence for the screen. */
export class WavError extends Error {
  override readonly name = 'WavError';
}

const PCM = 1;
const IEEE_FLOAT = 3;
const EXTENSIBLE = 0xfffe;

/** A program that writes to a pipe does not know the length and leaves this, or 0. */
const UNKNOWN_LENGTH = 0xffffffff;

/**
 * Decodes a WAV file: PCM of 8, 16, 24 or 32 bits, floating point of 32 or 64 bits, also as
 * WAVE_FORMAT_EXTENSIBLE; any number of channels; other chunks are skipped wherever they stand.
 * Integer samples are divided by 2^(bits − 1); floating-point samples are taken as they are.
 * Throws WavError. Allocates; not for the audio thread.
 * @see IBM and Microsoft, "Multimedia Programming Interface and Data Specifications 1.0", 1991
 */
export function decodeWav(bytes: Uint8Array): WavRecording {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const { format, data, truncated } = findChunks(view);
  const { bytesPerSample, channelCount, sampleRateHz } = format;
  const frames = Math.floor(data.byteLength / (bytesPerSample * channelCount));
  const read = sampleReader(format);
  const channels = Array.from({ length: channelCount }, () => new Float64Array(frames));
  channels.forEach((channel, index) => {
    for (let n = 0; n < frames; n++) channel[n] = read(data, (n * channelCount + index) * bytesPerSample);
  });
  return { sampleRateHz, channels, truncated };
}

/**
 * Encodes as a WAV file of 32-bit floating point, which keeps values beyond full scale.
 * Throws RangeError for a recording without channels, or with channels of different lengths.
 * Allocates; not for the audio thread.
 */
export function encodeWav(recording: Recording): Uint8Array {
  const { channels, sampleRateHz } = recording;
  const frames = channels[0]?.length;
  if (frames === undefined || channels.some((channel) => channel.length !== frames)) {
    throw new RangeError('a WAV file needs at least one channel, and all of one length');
  }
  const dataBytes = 4 * frames * channels.length;
  const view = new DataView(new ArrayBuffer(HEADER_BYTES + dataBytes));
  writeHeader(view, { frames, channelCount: channels.length, sampleRateHz, dataBytes });
  channels.forEach((channel, index) => {
    channel.forEach((sample, n) => {
      view.setFloat32(HEADER_BYTES + 4 * (n * channels.length + index), sample, true);
    });
  });
  return new Uint8Array(view.buffer);
}

interface WavFormat {
  readonly float: boolean;
  readonly channelCount: number;
  readonly sampleRateHz: number;
  readonly bytesPerSample: number;
}

interface Chunks {
  readonly format: WavFormat;
  readonly data: DataView;
  readonly truncated: boolean;
}

function findChunks(view: DataView): Chunks {
  if (view.byteLength < 12) throw new WavError('not a WAV file: it is shorter than a WAV header');
  if (tag(view, 0) !== 'RIFF' || tag(view, 8) !== 'WAVE') {
    throw new WavError('not a WAV file: it does not begin with RIFF and WAVE');
  }
  let format: WavFormat | undefined;
  let data: DataView | undefined;
  let truncated = false;
  for (let at = 12; at + 8 <= view.byteLength && !(format && data); ) {
    const id = tag(view, at);
    const stated = view.getUint32(at + 4, true);
    const available = view.byteLength - at - 8;
    const length = id === 'data' && (stated === UNKNOWN_LENGTH || stated === 0) ? available : stated;
    const chunk = new DataView(view.buffer, view.byteOffset + at + 8, Math.min(length, available));
    if (id === 'fmt ') format = readFormat(chunk);
    if (id === 'data') {
      data = chunk;
      truncated = length > available;
    }
    // chunks begin at even places
    at += 8 + length + (length % 2);
  }
  if (!format) throw new WavError('not a complete WAV file: the format (fmt) chunk is missing');
  if (!data) throw new WavError('not a complete WAV file: the data chunk is missing');
  return { format, data, truncated };
}

function readFormat(chunk: DataView): WavFormat {
  if (chunk.byteLength < 16)
    throw new WavError('not a complete WAV file: its format (fmt) chunk is too short');
  const outer = chunk.getUint16(0, true);
  const channelCount = chunk.getUint16(2, true);
  const sampleRateHz = chunk.getUint32(4, true);
  const bits = chunk.getUint16(14, true);
  if (outer === EXTENSIBLE && chunk.byteLength < 26) {
    throw new WavError('not a complete WAV file: its extensible format chunk is too short');
  }
  // the sub-format of an extensible file begins with the code of the plain one
  const code = outer === EXTENSIBLE ? chunk.getUint16(24, true) : outer;
  if (channelCount === 0) throw new WavError('this WAV file states no channels');
  if (sampleRateHz === 0) throw new WavError('this WAV file states a sample rate of 0 Hz');
  const known = code === PCM ? [8, 16, 24, 32] : code === IEEE_FLOAT ? [32, 64] : [];
  if (known.length === 0)
    throw new WavError(`this WAV file is compressed (format code ${code}), which is not supported`);
  if (!known.includes(bits)) {
    throw new WavError(`this WAV file has ${bits}-bit samples; ${known.join(', ')} bits are supported`);
  }
  return { float: code === IEEE_FLOAT, channelCount, sampleRateHz, bytesPerSample: bits / 8 };
}

function sampleReader(format: WavFormat): (data: DataView, at: number) => number {
  if (format.float) {
    return format.bytesPerSample === 4
      ? (data, at) => data.getFloat32(at, true)
      : (data, at) => data.getFloat64(at, true);
  }
  switch (format.bytesPerSample) {
    case 1:
      // 8-bit samples are unsigned
      return (data, at) => (data.getUint8(at) - 128) / 2 ** 7;
    case 2:
      return (data, at) => data.getInt16(at, true) / 2 ** 15;
    case 3:
      return (data, at) => (data.getUint8(at) + 256 * data.getInt16(at + 1, true)) / 2 ** 23;
    default:
      return (data, at) => data.getInt32(at, true) / 2 ** 31;
  }
}

/** RIFF 12, fmt 8 + 18, fact 8 + 4, data 8 bytes. */
const HEADER_BYTES = 58;

interface HeaderFields {
  readonly frames: number;
  readonly channelCount: number;
  readonly sampleRateHz: number;
  readonly dataBytes: number;
}

function writeHeader(view: DataView, fields: HeaderFields): void {
  const frameBytes = 4 * fields.channelCount;
  writeTag(view, 0, 'RIFF');
  view.setUint32(4, HEADER_BYTES - 8 + fields.dataBytes, true);
  writeTag(view, 8, 'WAVE');
  writeTag(view, 12, 'fmt ');
  view.setUint32(16, 18, true);
  view.setUint16(20, IEEE_FLOAT, true);
  view.setUint16(22, fields.channelCount, true);
  view.setUint32(24, fields.sampleRateHz, true);
  view.setUint32(28, fields.sampleRateHz * frameBytes, true);
  view.setUint16(32, frameBytes, true);
  view.setUint16(34, 32, true);
  // no extension follows; a fact chunk is required beside every format but PCM
  view.setUint16(36, 0, true);
  writeTag(view, 38, 'fact');
  view.setUint32(42, 4, true);
  view.setUint32(46, fields.frames, true);
  writeTag(view, 50, 'data');
  view.setUint32(54, fields.dataBytes, true);
}

function tag(view: DataView, at: number): string {
  return String.fromCharCode(
    view.getUint8(at),
    view.getUint8(at + 1),
    view.getUint8(at + 2),
    view.getUint8(at + 3),
  );
}

function writeTag(view: DataView, at: number, text: string): void {
  for (let i = 0; i < 4; i++) view.setUint8(at + i, text.charCodeAt(i));
}
