import { readFileSync } from 'node:fs';
import { OFFLINE_OVERSAMPLING } from '../analysis/offline-render.ts';
import {
  OVERSAMPLING_FACTORS,
  type OversamplingFactor,
  type ResamplingQuality,
} from '../audio/oversampler.ts';
import type { Recording } from '../audio/recording.ts';
import { decodeRecording } from '../audio/recording-file.ts';
import { CliError } from './cli-error.ts';
import { type Options, positiveNumber, reason } from './options.ts';
import { bundledRecording } from './preset-files.ts';

/** One channel of the recording that --in names, in volts, and what its full scale is taken to be. */
export interface RecordingInput {
  readonly inputV: Float64Array;
  readonly sampleRateHz: number;
  readonly voltsPerFullScale: number;
}

/** @throws CliError for a file that cannot be read, is no recording, or lacks the channel. */
export function readInput(options: Options): RecordingInput {
  const name = nameOf(options);
  const bundled = bundledRecording(name);
  const { channels, sampleRateHz } = readRecording(options);
  const number = options.channel === undefined ? 1 : Number(options.channel);
  const samples = channels[number - 1];
  if (!samples)
    throw new CliError(`--channel ${options.channel}: "${name}" has channels 1 to ${channels.length}.`);
  const peak = samples.reduce((most, sample) => Math.max(most, Math.abs(sample)), 0);
  const assumed = bundled && peak > 0 ? bundled.peakVolts / peak : 1;
  const voltsPerFullScale = positiveNumber('volts-per-full-scale', options['volts-per-full-scale'], assumed);
  return { inputV: samples.map((sample) => sample * voltsPerFullScale), sampleRateHz, voltsPerFullScale };
}

/** All channels of the recording that --in names, in full scale. @throws CliError as above. */
export function readRecording(options: Options): Recording {
  const name = nameOf(options);
  const recording = decode(name, bundledRecording(name)?.bytes ?? readBytes(name));
  if (!recording.channels[0]?.length) throw new CliError(`"${name}" holds no sound.`);
  return recording;
}

function nameOf(options: Options): string {
  if (options.in === undefined) throw new CliError('--in names no recording.');
  return options.in;
}

function decode(name: string, bytes: Uint8Array): Recording {
  try {
    return decodeRecording(bytes);
  } catch (error) {
    throw new CliError(`"${name}": ${reason(error)}`);
  }
}

function readBytes(name: string): Uint8Array {
  try {
    return readFileSync(name);
  } catch (error) {
    throw new CliError(`--in: "${name}" cannot be read: ${reason(error)}.`);
  }
}

/** Oversampling that the options ask for. @throws CliError. */
export function oversamplingOf({ oversample }: Options, otherwise: OversamplingFactor): OversamplingFactor {
  if (oversample === undefined) return otherwise;
  if (oversample === 'offline') return OFFLINE_OVERSAMPLING;
  const factor = OVERSAMPLING_FACTORS.find((candidate) => candidate === Number(oversample));
  if (factor === undefined)
    throw new CliError(`--oversample ${oversample} is none of ${OVERSAMPLING_FACTORS.join(', ')}, offline.`);
  return factor;
}

/** Resampling filters that the options ask for, linear phase by default. @throws CliError. */
export function resamplingOf({ resampling }: Options): ResamplingQuality {
  if (resampling === undefined || resampling === 'linear-phase') return 'linear-phase';
  if (resampling === 'low-latency') return 'low-latency';
  throw new CliError(`--resampling ${resampling} is neither linear-phase nor low-latency.`);
}
