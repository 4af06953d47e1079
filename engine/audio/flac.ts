/**
 * FLAC decoder after RFC 9639 (December 2024): every subframe type, stereo decorrelation, Rice partitions
 * with both parameter sizes and escapes, wasted bits, 4 to 32 bits a sample, checksums of each frame. The
 * bit stream must begin with its marker; Ogg is not unpacked.
 */
import { BitReader } from './bit-reader.ts';
import { type ByteSource, bytesInMemory } from './byte-source.ts';
import { Md5 } from './md5.ts';
import {
  type Recording,
  RecordingError,
  type RecordingFile,
  shapeProblem,
  wholeRecording,
} from './recording.ts';

export interface FlacRecording extends Recording {
  readonly bitsPerSample: number;
  /** MD5 of the interleaved integer samples as the encoder stored it, hexadecimal; zeros if it did not. */
  readonly md5: string;
}

/** A file that cannot be read as FLAC; the message is one sentence for the screen. */
export class FlacError extends RecordingError {
  override readonly name = 'FlacError';
}

/** Size of the first window of bytes for a frame; it grows fourfold if the frame does not end within it. */
const FIRST_WINDOW = 2 ** 16;
/** A frame of 65,535 samples of eight channels, kept plain in 33 bits, has 2.2 million bytes. */
const LARGEST_WINDOW = 2 ** 22;
/** A file with more blocks than this before its samples is refused. */
const MOST_BLOCKS = 1000;

/**
 * A FLAC file, read frame by frame; samples are divided by 2^(bits − 1).
 *
 * Every frame has its own checksum, so damage is known to the sample. A damaged file is refused, and so is one
 * that ends early or whose frames have another rate than its header, which would change the pitch. If all
 * frames are whole and only the checksum over all samples does not match, they are played with a warning:
 * frames are missing or foreign, or the checksum was wrong from the start.
 *
 * Throws FlacError. Allocates; not for the audio thread.
 */
export class FlacFile implements RecordingFile {
  readonly sampleRateHz: number;
  readonly channelCount: number;
  readonly frames: number;
  readonly bitsPerSample: number;
  readonly md5: string;
  readonly #source: ByteSource;
  readonly #info: StreamInfo;
  readonly #audioAt: number;
  #hasWrongSum = false;

  constructor(source: ByteSource) {
    const { info, audioAt } = readMetadata(source);
    this.sampleRateHz = info.sampleRateHz;
    this.channelCount = info.channelCount;
    this.frames = info.frames;
    this.bitsPerSample = info.bitsPerSample;
    this.md5 = info.md5;
    this.#source = source;
    this.#info = info;
    this.#audioAt = audioAt;
    const problem = shapeProblem(this);
    if (problem !== undefined) throw new FlacError(`this FLAC file cannot be used: ${problem}`);
  }

  get warnings(): readonly string[] {
    return this.#hasWrongSum
      ? [
          'The checksum of the whole file does not match, but each part is intact: the file may have been cut or joined.',
        ]
      : [];
  }

  *pieces(): Generator<readonly Float64Array[]> {
    const { bitsPerSample, frames, md5 } = this.#info;
    const sum = /^0+$/.test(md5) ? undefined : new SampleSum(bitsPerSample);
    let at = this.#audioAt;
    for (let done = 0; done < frames; ) {
      const frame = this.#frameAt(at);
      const count = Math.min(frame.blockSize, frames - done);
      sum?.add(frame.subframes, count);
      const scale = 2 ** (bitsPerSample - 1);
      for (const samples of frame.subframes) for (let n = 0; n < count; n++) samples[n] = samples[n]! / scale;
      yield frame.subframes.map((samples) =>
        count === samples.length ? samples : samples.subarray(0, count),
      );
      done += count;
      at += frame.byteLength;
    }
    this.#hasWrongSum = sum !== undefined && sum.digest() !== md5;
  }

  /** An error in a frame may only mean that the frame does not end within the window. */
  #frameAt(at: number): Frame {
    for (let window = FIRST_WINDOW; ; window *= 4) {
      const bytes = this.#source.read(at, window);
      const isAll = window >= LARGEST_WINDOW || at + window >= this.#source.length;
      try {
        return readFrame(bytes, this.#info);
      } catch (error) {
        if (isAll || !(error instanceof FlacError)) throw error;
      }
    }
  }
}

/** All samples of a FLAC file. Throws FlacError. Allocates; not for the audio thread. */
export function decodeFlac(bytes: Uint8Array): FlacRecording {
  const file = new FlacFile(bytesInMemory(bytes));
  return { ...wholeRecording(file), bitsPerSample: file.bitsPerSample, md5: file.md5 };
}

/** RFC 9639 section 8.2: MD5 of the samples, interleaved, little endian, signed, in whole bytes. */
class SampleSum {
  readonly #md5 = new Md5();
  readonly #width: number;
  #bytes = new Uint8Array(0);

  constructor(bitsPerSample: number) {
    this.#width = Math.ceil(bitsPerSample / 8);
  }

  add(channels: readonly Float64Array[], count: number): void {
    const width = this.#width;
    const length = count * channels.length * width;
    if (this.#bytes.length < length) this.#bytes = new Uint8Array(length);
    const bytes = this.#bytes;
    for (let channel = 0; channel < channels.length; channel++) {
      const samples = channels[channel]!;
      for (let n = 0; n < count; n++) {
        const at = (n * channels.length + channel) * width;
        // Samples have at most 32 bits.
        const sample = samples[n]! | 0;
        for (let byte = 0; byte < width; byte++) bytes[at + byte] = sample >> (8 * byte);
      }
    }
    this.#md5.update(bytes.subarray(0, length));
  }

  digest(): string {
    return this.#md5.digest();
  }
}

interface StreamInfo {
  readonly sampleRateHz: number;
  readonly channelCount: number;
  readonly bitsPerSample: number;
  readonly frames: number;
  readonly md5: string;
}

const STREAM_INFO_BYTES = 34;

/** RFC 9639 section 8: the STREAMINFO block comes first, the others are skipped. */
function readMetadata(source: ByteSource): { readonly info: StreamInfo; readonly audioAt: number } {
  if (new BitReader(source.read(0, 4), 0).unsigned(32) !== 0x664c6143)
    throw new FlacError('not a FLAC file: it does not begin with fLaC');
  let info: StreamInfo | undefined;
  let at = 4;
  for (let last = false, count = 0; !last && count < MOST_BLOCKS; count++) {
    const header = new BitReader(source.read(at, 4), 0);
    last = header.unsigned(1) === 1;
    const type = header.unsigned(7);
    const length = header.unsigned(24);
    if (type === 0) info = readStreamInfo(source.read(at + 4, STREAM_INFO_BYTES));
    at += 4 + length;
    if (at > source.length) throw new FlacError('this FLAC file ends within its header');
  }
  if (!info) throw new FlacError('this FLAC file has no stream information');
  if (info.frames === 0)
    throw new FlacError('this FLAC file does not state its length, which is not supported');
  return { info, audioAt: at };
}

function readStreamInfo(bytes: Uint8Array): StreamInfo {
  const reader = new BitReader(bytes, 10);
  const sampleRateHz = reader.unsigned(20);
  const channelCount = reader.unsigned(3) + 1;
  const bitsPerSample = reader.unsigned(5) + 1;
  const frames = reader.unsigned(4) * 2 ** 32 + reader.unsigned(32);
  const digits = Array.from({ length: 16 }, () => reader.unsigned(8).toString(16).padStart(2, '0'));
  if (reader.pastEnd) throw new FlacError('this FLAC file ends within its header');
  if (bitsPerSample < 4)
    throw new FlacError(`this FLAC file states ${bitsPerSample}-bit samples; there are 4 to 32`);
  return { sampleRateHz, channelCount, bitsPerSample, frames, md5: digits.join('') };
}

interface Frame {
  readonly blockSize: number;
  readonly subframes: readonly Float64Array[];
  readonly byteLength: number;
}

interface FrameHeader {
  readonly blockSize: number;
  readonly assignment: number;
  readonly bitsPerSample: number;
}

/** The frame that the bytes begin with. */
function readFrame(bytes: Uint8Array, info: StreamInfo): Frame {
  const reader = new BitReader(bytes, 0);
  const { blockSize, assignment, bitsPerSample } = readFrameHeader(bytes, reader, info);
  const count = assignment < 8 ? assignment + 1 : 2;
  if (count !== info.channelCount)
    throw new FlacError('this FLAC file changes its number of channels midway');
  const subframes: Float64Array[] = [];
  for (let channel = 0; channel < count; channel++) {
    // the difference of two channels needs one more bit
    const side =
      (assignment === 9 && channel === 0) || ((assignment === 8 || assignment === 10) && channel === 1);
    subframes.push(readSubframe(reader, blockSize, bitsPerSample + (side ? 1 : 0)));
  }
  reader.alignToByte();
  const end = reader.byte;
  if (end + 2 > bytes.length) throw new FlacError('this FLAC file ends before its stated length');
  if (crc(bytes, end, CRC_16) !== reader.unsigned(16)) {
    throw new FlacError('this FLAC file is damaged: the checksum of a frame does not match');
  }
  restoreStereo(assignment, subframes);
  return { blockSize, subframes, byteLength: end + 2 };
}

/** RFC 9639 section 9.1. */
function readFrameHeader(bytes: Uint8Array, reader: BitReader, info: StreamInfo): FrameHeader {
  if (bytes.length < 6) throw new FlacError('this FLAC file ends before its stated length');
  if (reader.unsigned(15) !== 0x7ffc)
    throw new FlacError('this FLAC file is damaged: a frame does not begin with its mark');
  reader.unsigned(1);
  const blockCode = reader.unsigned(4);
  const rateCode = reader.unsigned(4);
  const assignment = reader.unsigned(4);
  const depthCode = reader.unsigned(3);
  reader.unsigned(1);
  skipCodedNumber(reader);
  const blockSize = readBlockSize(reader, blockCode);
  const sampleRateHz = readRate(reader, rateCode);
  const end = reader.byte;
  if (crc(bytes, end, CRC_8) !== reader.unsigned(8)) {
    throw new FlacError('this FLAC file is damaged: the checksum of a frame header does not match');
  }
  if (sampleRateHz !== undefined && sampleRateHz !== info.sampleRateHz) {
    throw new FlacError(
      `this FLAC file is damaged: its header says ${info.sampleRateHz} Hz, and a frame ${sampleRateHz} Hz`,
    );
  }
  const bitsPerSample = depthCode === 0 ? info.bitsPerSample : (FRAME_DEPTHS[depthCode] ?? 0);
  if (assignment > 10 || bitsPerSample !== info.bitsPerSample || blockSize === 0) {
    throw new FlacError('this FLAC file uses a frame layout that is reserved or changes midway');
  }
  return { blockSize, assignment, bitsPerSample };
}

const FRAME_RATES_KHZ: readonly number[] = [0, 88.2, 176.4, 192, 8, 16, 22.05, 24, 32, 44.1, 48, 96];

/** Section 9.1.2: undefined where it is that of the header. */
function readRate(reader: BitReader, code: number): number | undefined {
  if (code === 0) return undefined;
  if (code === 12) return 1000 * reader.unsigned(8);
  if (code === 13) return reader.unsigned(16);
  if (code === 14) return 10 * reader.unsigned(16);
  if (code === 15) throw new FlacError('this FLAC file uses a reserved sample rate');
  return Math.round(1000 * FRAME_RATES_KHZ[code]!);
}

const FRAME_DEPTHS: readonly number[] = [0, 8, 12, 0, 16, 20, 24, 32];

/** Section 9.1.5: the frame or sample number, coded like UTF-8 in up to seven bytes. */
function skipCodedNumber(reader: BitReader): void {
  const first = reader.unsigned(8);
  for (let bit = 0x40; first >= 0xc0 && bit >= 2 && (first & bit) !== 0; bit >>= 1) reader.unsigned(8);
}

/** Section 9.1.1. */
function readBlockSize(reader: BitReader, code: number): number {
  if (code === 1) return 192;
  if (code >= 2 && code <= 5) return 144 << code;
  if (code === 6) return reader.unsigned(8) + 1;
  if (code === 7) return reader.unsigned(16) + 1;
  return code >= 8 ? 1 << code : 0;
}

/** Section 4.2: left and side, side and right, or mid and side become left and right. */
function restoreStereo(assignment: number, subframes: readonly Float64Array[]): void {
  const [first, second] = subframes;
  if (assignment < 8 || !first || !second) return;
  for (let n = 0; n < first.length; n++) {
    const a = first[n]!;
    const b = second[n]!;
    if (assignment === 8) second[n] = a - b;
    else if (assignment === 9) first[n] = a + b;
    else {
      // mid lost its lowest bit, which is that of the side
      const sum = 2 * a + Math.abs(b % 2);
      first[n] = (sum + b) / 2;
      second[n] = (sum - b) / 2;
    }
  }
}

/** Section 9.2. */
function readSubframe(reader: BitReader, blockSize: number, frameBits: number): Float64Array {
  reader.unsigned(1);
  const type = reader.unsigned(6);
  const wasted = reader.unsigned(1) === 1 ? reader.unary() + 1 : 0;
  const bits = frameBits - wasted;
  if (bits < 1) throw new FlacError('this FLAC file is damaged: a frame wastes all its bits');
  const samples = new Float64Array(blockSize);
  if (type === 0) samples.fill(reader.signed(bits));
  else if (type === 1) for (let n = 0; n < blockSize; n++) samples[n] = reader.signed(bits);
  else if (type >= 8 && type <= 12) readFixed(reader, samples, bits, type - 8);
  else if (type >= 32) readLinear(reader, samples, bits, type - 31);
  else throw new FlacError('this FLAC file uses a reserved kind of subframe');
  if (reader.pastEnd) throw new FlacError('this FLAC file ends before its stated length');
  return wasted === 0 ? samples : samples.map((x) => x * 2 ** wasted);
}

/** Section 9.2.5: fixed predictors by differences, most recent sample first. */
const FIXED: readonly (readonly number[])[] = [[], [1], [2, -1], [3, -3, 1], [4, -6, 4, -1]];

function readFixed(reader: BitReader, samples: Float64Array, bits: number, order: number): void {
  readWarmUp(reader, samples, bits, order);
  readResidual(reader, samples, order);
  predict(samples, Float64Array.from(FIXED[order] ?? []), 0);
}

/** Section 9.2.6. */
function readLinear(reader: BitReader, samples: Float64Array, bits: number, order: number): void {
  readWarmUp(reader, samples, bits, order);
  const precision = reader.unsigned(4) + 1;
  const shift = reader.signed(5);
  if (precision === 16 || shift < 0) throw new FlacError('this FLAC file uses a reserved predictor');
  const coefficients = Float64Array.from({ length: order }, () => reader.signed(precision));
  readResidual(reader, samples, order);
  predict(samples, coefficients, shift);
}

function readWarmUp(reader: BitReader, samples: Float64Array, bits: number, order: number): void {
  if (order > samples.length)
    throw new FlacError('this FLAC file is damaged: a predictor is longer than its frame');
  for (let n = 0; n < order; n++) samples[n] = reader.signed(bits);
}

/** Adds the prediction to the residual in place; exact, since the sums stay below 2^53. */
function predict(samples: Float64Array, coefficients: Float64Array, shift: number): void {
  const order = coefficients.length;
  const scale = 2 ** -shift;
  for (let n = order; n < samples.length; n++) {
    let sum = 0;
    for (let k = 0; k < order; k++) sum += coefficients[k]! * samples[n - 1 - k]!;
    samples[n] = samples[n]! + Math.floor(sum * scale);
  }
}

/** Section 9.2.7: Rice-coded residual in 2^order partitions, the first one shorter by the warm-up. */
function readResidual(reader: BitReader, samples: Float64Array, warmUp: number): void {
  const method = reader.unsigned(2);
  if (method > 1) throw new FlacError('this FLAC file uses a reserved residual coding');
  const parameterBits = method === 0 ? 4 : 5;
  const escapeCode = 2 ** parameterBits - 1;
  const partitions = 2 ** reader.unsigned(4);
  const length = samples.length / partitions;
  if (!Number.isInteger(length) || length < warmUp) {
    throw new FlacError('this FLAC file is damaged: its residual does not fit its frame');
  }
  for (let partition = 0; partition < partitions; partition++) {
    const from = partition === 0 ? warmUp : partition * length;
    const parameter = reader.unsigned(parameterBits);
    const plainBits = parameter === escapeCode ? reader.unsigned(5) : 0;
    for (let n = from; n < (partition + 1) * length; n++) {
      if (parameter !== escapeCode) samples[n] = readRice(reader, parameter);
      else samples[n] = plainBits === 0 ? 0 : reader.signed(plainBits);
    }
    if (reader.pastEnd) throw new FlacError('this FLAC file ends before its stated length');
  }
}

/** Even codes are positive, odd ones negative. */
function readRice(reader: BitReader, parameter: number): number {
  const quotient = reader.unary();
  const folded = quotient * 2 ** parameter + reader.unsigned(parameter);
  return folded % 2 === 0 ? folded / 2 : -(folded + 1) / 2;
}

interface CrcTable {
  readonly bits: 8 | 16;
  readonly table: Uint16Array;
}

/** Sections 9.1.8 and 9.3: x⁸ + x² + x + 1 and x¹⁶ + x¹⁵ + x² + 1, both from 0. */
const CRC_8 = crcTable(8, 0x07);
const CRC_16 = crcTable(16, 0x8005);

function crcTable(bits: 8 | 16, polynomial: number): CrcTable {
  const top = 1 << (bits - 1);
  const mask = 2 ** bits - 1;
  const table = Uint16Array.from({ length: 256 }, (_, byte) => {
    let remainder = byte << (bits - 8);
    for (let i = 0; i < 8; i++)
      remainder = ((remainder << 1) ^ ((remainder & top) !== 0 ? polynomial : 0)) & mask;
    return remainder;
  });
  return { bits, table };
}

/** Of the bytes up to a place. */
function crc(bytes: Uint8Array, to: number, { bits, table }: CrcTable): number {
  let remainder = 0;
  for (let at = 0; at < to; at++) {
    const index = ((remainder >> (bits - 8)) ^ bytes[at]!) & 0xff;
    remainder = ((remainder << 8) ^ table[index]!) & (2 ** bits - 1);
  }
  return remainder;
}
