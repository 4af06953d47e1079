import { MOST_SAMPLE } from '../input/limits.ts';
import { type ByteSource, bytesInMemory } from './byte-source.ts';
import {
  type Recording,
  RecordingError,
  type RecordingFile,
  type RecordingShape,
  shapeProblem,
  wholeRecording,
} from './recording.ts';

/** What a WAV file held. */
export interface WavRecording extends Recording {
  /** The file ends before the length it states; what is there was decoded. */
  readonly truncated: boolean;
}

/** A file that cannot be read as WAV; the message is one sentence for the screen. */
export class WavError extends RecordingError {
  override readonly name = 'WavError';
}

const PCM = 1;
const IEEE_FLOAT = 3;
const EXTENSIBLE = 0xfffe;

/** A program that writes to a pipe does not know the length and leaves this, or 0. */
const UNKNOWN_LENGTH = 0xffffffff;

/** Frames that are read at once. */
const PIECE_FRAMES = 8192;

/**
 * A WAV file, read in pieces: PCM of 8, 16, 24 or 32 bits, floating point of 32 or 64 bits, also as
 * WAVE_FORMAT_EXTENSIBLE; any number of channels; other chunks are skipped wherever they stand.
 * Integer samples are divided by 2^(bits − 1); floating-point samples are taken as they are.
 *
 * A file that ends early is played up to its end: recorders that lose power leave such files. Samples that are
 * not numbers, or larger than any converter gives, are played as silence, since one of them would reset the
 * circuit. Both give a warning.
 *
 * Throws WavError. Allocates; not for the audio thread.
 * @see IBM and Microsoft, "Multimedia Programming Interface and Data Specifications 1.0", 1991
 */
export class WavFile implements RecordingFile {
  readonly sampleRateHz: number;
  readonly channelCount: number;
  readonly frames: number;
  /** The file ends before the length it states. */
  readonly truncated: boolean;
  readonly #source: ByteSource;
  readonly #format: WavFormat;
  readonly #dataAt: number;
  readonly #statedFrames: number;
  #unusable = 0;

  constructor(source: ByteSource) {
    const { format, dataAt, dataBytes, statedBytes } = findChunks(source);
    const frameBytes = format.bytesPerSample * format.channelCount;
    this.sampleRateHz = format.sampleRateHz;
    this.channelCount = format.channelCount;
    this.frames = Math.floor(dataBytes / frameBytes);
    this.truncated = statedBytes > dataBytes;
    this.#source = source;
    this.#format = format;
    this.#dataAt = dataAt;
    this.#statedFrames = Math.floor(statedBytes / frameBytes);
    const problem = shapeProblem(this);
    if (problem !== undefined) throw new WavError(`this WAV file cannot be used: ${problem}`);
  }

  get warnings(): readonly string[] {
    const seconds = (frames: number) => (frames / this.sampleRateHz).toFixed(2);
    const { frames } = this;
    return [
      ...(this.truncated
        ? [`The file ends after ${seconds(frames)} of ${seconds(this.#statedFrames)} s; this part is played.`]
        : []),
      ...(this.#unusable > 0
        ? [`${this.#unusable} samples are not numbers or far too large: they are played as silence.`]
        : []),
    ];
  }

  *pieces(): Generator<readonly Float64Array[]> {
    const { bytesPerSample, channelCount } = this.#format;
    const frameBytes = bytesPerSample * channelCount;
    const read = sampleReader(this.#format);
    this.#unusable = 0;
    const buffers = Array.from({ length: channelCount }, () => new Float64Array(PIECE_FRAMES));
    for (let done = 0; done < this.frames; done += PIECE_FRAMES) {
      const frames = Math.min(PIECE_FRAMES, this.frames - done);
      const data = viewOf(this.#source.read(this.#dataAt + done * frameBytes, frames * frameBytes));
      buffers.forEach((buffer, index) => {
        for (let n = 0; n < frames; n++) {
          const sample = read(data, (n * channelCount + index) * bytesPerSample);
          const isUsable = Math.abs(sample) <= MOST_SAMPLE;
          if (!isUsable) this.#unusable++;
          buffer[n] = isUsable ? sample : 0;
        }
      });
      yield buffers.map((buffer) => buffer.subarray(0, frames));
    }
  }
}

/** All samples of a WAV file. Throws WavError. Allocates; not for the audio thread. */
export function decodeWav(bytes: Uint8Array): WavRecording {
  const file = new WavFile(bytesInMemory(bytes));
  return { ...wholeRecording(file), truncated: file.truncated };
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
  const header = wavHeader({ frames, channelCount: channels.length, sampleRateHz });
  const samples = wavSamples(channels);
  const bytes = new Uint8Array(header.length + samples.length);
  bytes.set(header);
  bytes.set(samples, header.length);
  return bytes;
}

/** The header of a file of 32-bit floating point. */
export function wavHeader(shape: RecordingShape): Uint8Array {
  const view = new DataView(new ArrayBuffer(HEADER_BYTES));
  writeHeader(view, shape);
  return new Uint8Array(view.buffer);
}

/** Samples as bytes of such a file; pieces one after the other make the whole. */
export function wavSamples(channels: readonly Float64Array[]): Uint8Array {
  const view = new DataView(new ArrayBuffer(4 * (channels[0]?.length ?? 0) * channels.length));
  channels.forEach((channel, index) => {
    for (let n = 0; n < channel.length; n++)
      view.setFloat32(4 * (n * channels.length + index), channel[n]!, true);
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
  readonly dataAt: number;
  /** Bytes of samples in the file, and the number that its header states. */
  readonly dataBytes: number;
  readonly statedBytes: number;
}

/** A format chunk is read so far; what a WAVE_FORMAT_EXTENSIBLE says further on is not needed. */
const FORMAT_BYTES = 40;
/** A file with more chunks than this before its samples is refused. */
const MOST_CHUNKS = 10_000;

function findChunks(source: ByteSource): Chunks {
  if (source.length < 12) throw new WavError('not a WAV file: it is shorter than a WAV header');
  const start = viewOf(source.read(0, 12));
  if (tag(start, 0) !== 'RIFF' || tag(start, 8) !== 'WAVE') {
    throw new WavError('not a WAV file: it does not begin with RIFF and WAVE');
  }
  let format: WavFormat | undefined;
  let data: Omit<Chunks, 'format'> | undefined;
  let at = 12;
  for (let count = 0; count < MOST_CHUNKS && at + 8 <= source.length && !(format && data); count++) {
    const header = viewOf(source.read(at, 8));
    const id = tag(header, 0);
    const stated = header.getUint32(4, true);
    const available = source.length - at - 8;
    const length = id === 'data' && (stated === UNKNOWN_LENGTH || stated === 0) ? available : stated;
    if (id === 'fmt ') format = readFormat(viewOf(source.read(at + 8, Math.min(length, FORMAT_BYTES))));
    if (id === 'data') data = { dataAt: at + 8, dataBytes: Math.min(length, available), statedBytes: length };
    // chunks begin at even places
    at += 8 + length + (length % 2);
  }
  if (!format) throw new WavError('not a complete WAV file: the format (fmt) chunk is missing');
  if (!data) throw new WavError('not a complete WAV file: the data chunk is missing');
  return { format, ...data };
}

function viewOf(bytes: Uint8Array): DataView {
  return new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
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

function writeHeader(view: DataView, fields: RecordingShape): void {
  const frameBytes = 4 * fields.channelCount;
  const dataBytes = frameBytes * fields.frames;
  writeTag(view, 0, 'RIFF');
  view.setUint32(4, HEADER_BYTES - 8 + dataBytes, true);
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
  view.setUint32(54, dataBytes, true);
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
