import { OFFLINE_OVERSAMPLING } from '../analysis/offline-render.ts';
import { bytesInMemory } from '../audio/byte-source.ts';
import {
  OVERSAMPLING_FACTORS,
  type OversamplingFactor,
  type ResamplingQuality,
} from '../audio/oversampler.ts';
import { type Recording, type RecordingFile, wholeChannel, wholeRecording } from '../audio/recording.ts';
import { openRecording } from '../audio/recording-file.ts';
import { MOST_INPUT_V, MOST_RECORDING_BYTES } from '../input/limits.ts';
import { Refusal } from '../input/refusal.ts';
import { oneLine, quotedPath } from '../input/shown-text.ts';
import { CliError } from './cli-error.ts';
import { FileBytes, readAtMost, systemReason } from './input-file.ts';
import { named, numberIn, numberOf, type Options } from './options.ts';
import { bundledRecording } from './preset-files.ts';

/** One channel of the recording that --in names, and the assumed volts of its full scale. */
interface ChannelInput {
  readonly sampleRateHz: number;
  readonly voltsPerFullScale: number;
}

/** All of it in volts. */
export interface RecordingInput extends ChannelInput {
  readonly inputV: Float64Array;
}

/** The same in pieces. */
export interface StreamedInput extends ChannelInput {
  readonly frames: number;
  /** Volts, from the first sample on; each piece is overwritten by the next. */
  readonly pieces: () => Iterable<Float64Array>;
}

/** @throws CliError for a file that cannot be read, is no recording, or lacks the channel. */
export function readInput(options: Options): RecordingInput {
  const { name, file, bundledPeakV } = openNamed(options);
  const index = channelOf(options, name, file);
  const samples = inRecording(name, () => wholeChannel(file, index));
  warn(name, file);
  const peak = samples.reduce((most, sample) => Math.max(most, Math.abs(sample)), 0);
  const voltsPerFullScale = voltsOf(options, peak, bundledPeakV);
  const inputV = samples.map((sample) => sample * voltsPerFullScale);
  return { inputV, sampleRateHz: file.sampleRateHz, voltsPerFullScale };
}

/**
 * The recording is read once completely, so that its problems are reported before the work begins.
 *
 * @throws CliError as above.
 */
export function streamInput(options: Options): StreamedInput {
  const { name, file, bundledPeakV } = openNamed(options);
  const index = channelOf(options, name, file);
  const peak = inRecording(name, () => peakOf(file, index));
  warn(name, file);
  const voltsPerFullScale = voltsOf(options, peak, bundledPeakV);
  const { frames, sampleRateHz } = file;
  return { frames, sampleRateHz, voltsPerFullScale, pieces: () => scaled(file, index, voltsPerFullScale) };
}

/** All channels of the recording that --in names, in units of full scale. @throws CliError as above. */
export function readRecording(options: Options): Recording {
  const { name, file } = openNamed(options);
  const recording = inRecording(name, () => wholeRecording(file));
  warn(name, file);
  return recording;
}

interface NamedRecording {
  readonly name: string;
  readonly file: RecordingFile;
  readonly bundledPeakV: number | undefined;
}

function openNamed({ in: name }: Options): NamedRecording {
  if (name === undefined) throw new CliError('--in is missing: give a recording.');
  const bundled = bundledRecording(name);
  const source = bundled ? bytesInMemory(bundled.bytes) : bytesOf(name);
  const file = inRecording(name, () => openRecording(source));
  if (file.frames === 0) throw new CliError(`${quotedPath(name)} has no samples.`);
  return { name, file, bundledPeakV: bundled?.peakVolts };
}

function bytesOf(name: string) {
  try {
    return (
      FileBytes.open(name, MOST_RECORDING_BYTES) ?? bytesInMemory(readAtMost(name, MOST_RECORDING_BYTES))
    );
  } catch (error) {
    throw new CliError(`--in: ${quotedPath(name)} cannot be read: ${systemReason(error)}.`, 'file');
  }
}

function channelOf({ channel }: Options, name: string, { channelCount }: RecordingFile): number {
  if (channel === undefined) return 0;
  const number = numberIn('channel', channel);
  if (!Number.isInteger(number) || number > channelCount)
    throw new CliError(`--channel ${named(channel)}: ${quotedPath(name)} has channels 1 to ${channelCount}.`);
  return number - 1;
}

function voltsOf(options: Options, peak: number, bundledPeakV: number | undefined): number {
  const assumed = bundledPeakV !== undefined && peak > 0 ? bundledPeakV / peak : 1;
  const volts = numberOf('volts-per-full-scale', options['volts-per-full-scale'], assumed);
  if (peak * volts > MOST_INPUT_V)
    throw new CliError(
      `${quotedPath(options.in ?? '')} would reach ${(peak * volts).toExponential(1)} V, and ${MOST_INPUT_V} V is the most: use a smaller --volts-per-full-scale.`,
    );
  return volts;
}

function peakOf(file: RecordingFile, index: number): number {
  let peak = 0;
  for (const piece of file.pieces())
    for (const sample of piece[index]!) peak = Math.max(peak, Math.abs(sample));
  return peak;
}

function* scaled(file: RecordingFile, index: number, volts: number): Generator<Float64Array> {
  for (const piece of file.pieces()) yield piece[index]!.map((sample) => sample * volts);
}

function inRecording<T>(name: string, read: () => T): T {
  try {
    return read();
  } catch (error) {
    if (error instanceof Refusal && error.code === 'recording')
      throw new CliError(`${quotedPath(name)}: ${error.message}.`, 'recording');
    throw error;
  }
}

/** Prints a warning about damage in a file that is used all the same. */
function warn(name: string, { warnings }: RecordingFile): void {
  for (const warning of warnings)
    process.stderr.write(`cliplead: ${oneLine(`${quotedPath(name)}: ${warning}`)}\n`);
}

/** Oversampling that the options ask for. @throws CliError. */
export function oversamplingOf({ oversample }: Options, otherwise: OversamplingFactor): OversamplingFactor {
  if (oversample === undefined) return otherwise;
  if (oversample === 'offline') return OFFLINE_OVERSAMPLING;
  const factor = OVERSAMPLING_FACTORS.find((candidate) => candidate === Number(oversample));
  if (factor === undefined)
    throw new CliError(
      `--oversample ${named(oversample)} is none of ${OVERSAMPLING_FACTORS.join(', ')}, offline.`,
    );
  return factor;
}

/** Resampling filters that the options ask for, linear phase by default. @throws CliError. */
export function resamplingOf({ resampling }: Options): ResamplingQuality {
  if (resampling === undefined || resampling === 'linear-phase') return 'linear-phase';
  if (resampling === 'low-latency') return 'low-latency';
  throw new CliError(`--resampling ${named(resampling)} is neither linear-phase nor low-latency.`);
}
