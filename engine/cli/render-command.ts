import { readFileSync, writeFileSync } from 'node:fs';
import { type OfflineRender, renderOffline } from '../analysis/offline-render.ts';
import {
  OVERSAMPLING_FACTORS,
  type OversamplingFactor,
  type ResamplingQuality,
} from '../audio/oversampler.ts';
import type { Recording } from '../audio/recording.ts';
import { decodeRecording } from '../audio/recording-file.ts';
import { encodeWav } from '../audio/wav.ts';
import { networkOf } from '../builds/network-of-build.ts';
import { CliError } from './cli-error.ts';
import { type Options, positiveNumber, readBuild, reason } from './options.ts';
import { printJson } from './output.ts';
import { bundledRecording } from './preset-files.ts';

const DEFAULT_OVERSAMPLING = 8;

/** A whole build over a recording, into a float32 WAV on the same scale of volts. */
export function renderCommand(options: Options): void {
  const build = readBuild(options);
  if (options.in === undefined) throw new CliError('--in names no recording to play through the build.');
  if (options.out === undefined) throw new CliError('--out names no file to write.');
  const { samples, sampleRateHz, voltsPerFullScale } = readInput(options.in, options);
  const inputV = samples.map((sample) => sample * voltsPerFullScale);
  const factor = oversamplingOf(options);
  const rendered = renderOffline(networkOf(build), inputV, {
    factor,
    quality: qualityOf(options),
    sampleRateHz,
    ...(process.stderr.isTTY ? { onProgress: showProgress } : {}),
  });
  const channel = rendered.outputV.map((volts) => volts / voltsPerFullScale);
  writeOutput(options.out, encodeWav({ sampleRateHz, channels: [channel] }));
  report(options, rendered, { sampleRateHz, factor, voltsPerFullScale });
}

function report(
  options: Options,
  { outputV, failures, resets, newtonIterations }: OfflineRender,
  settings: { readonly sampleRateHz: number; readonly factor: number; readonly voltsPerFullScale: number },
): void {
  const peakV = outputV.reduce((most, volts) => Math.max(most, Math.abs(volts)), 0);
  const rmsV = Math.sqrt(outputV.reduce((sum, volts) => sum + volts * volts, 0) / outputV.length);
  if (options.json) {
    printJson({
      out: options.out,
      ...settings,
      frames: outputV.length,
      peakV,
      rmsV,
      newtonIterations,
      failures,
      resets,
    });
    return;
  }
  const seconds = outputV.length / settings.sampleRateHz;
  process.stdout.write(
    `${options.out}: ${seconds.toFixed(2)} s, peak ${peakV.toFixed(3)} V, RMS ${rmsV.toFixed(3)} V, full scale ${settings.voltsPerFullScale.toFixed(3)} V\n`,
  );
  if (failures + resets > 0) {
    process.stdout.write(
      `The solver did not converge in ${failures} samples and was reset ${resets} times.\n`,
    );
  }
}

function readInput(
  name: string,
  options: Options,
): { samples: Float64Array; sampleRateHz: number; voltsPerFullScale: number } {
  const bundled = bundledRecording(name);
  const { channels, sampleRateHz } = decode(name, bundled?.bytes ?? readBytes(name));
  const number = options.channel === undefined ? 1 : Number(options.channel);
  const samples = channels[number - 1];
  if (!samples)
    throw new CliError(`--channel ${options.channel}: "${name}" has channels 1 to ${channels.length}.`);
  if (samples.length === 0) throw new CliError(`"${name}" holds no sound.`);
  const peak = samples.reduce((most, sample) => Math.max(most, Math.abs(sample)), 0);
  const assumed = bundled && peak > 0 ? bundled.peakVolts / peak : 1;
  const voltsPerFullScale = positiveNumber('volts-per-full-scale', options['volts-per-full-scale'], assumed);
  return { samples, sampleRateHz, voltsPerFullScale };
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

function writeOutput(path: string, bytes: Uint8Array): void {
  try {
    writeFileSync(path, bytes);
  } catch (error) {
    throw new CliError(`--out: "${path}" cannot be written: ${reason(error)}.`);
  }
}

function oversamplingOf({ oversample }: Options): OversamplingFactor {
  if (oversample === undefined) return DEFAULT_OVERSAMPLING;
  const factor = OVERSAMPLING_FACTORS.find((candidate) => candidate === Number(oversample));
  if (factor === undefined)
    throw new CliError(`--oversample ${oversample} is none of ${OVERSAMPLING_FACTORS.join(', ')}.`);
  return factor;
}

function qualityOf({ resampling }: Options): ResamplingQuality {
  if (resampling === undefined || resampling === 'linear-phase') return 'linear-phase';
  if (resampling === 'low-latency') return 'low-latency';
  throw new CliError(`--resampling ${resampling} is neither linear-phase nor low-latency.`);
}

function showProgress(share: number): void {
  process.stderr.write(`\r${Math.round(100 * share)} %${share >= 1 ? '\n' : ''}`);
}
