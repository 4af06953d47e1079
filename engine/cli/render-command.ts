import { buildNoise } from '../analysis/build-noise.ts';
import { addNoise, noiseFilter } from '../analysis/noise-filter.ts';
import { OFFLINE_OVERSAMPLING, type OfflineRender, renderOffline } from '../analysis/offline-render.ts';
import { encodeWav } from '../audio/wav.ts';
import type { Build } from '../builds/build.ts';
import { networkOf } from '../builds/network-of-build.ts';
import { CliError } from './cli-error.ts';
import { noiseInputOf } from './noise-command.ts';
import { type Options, readBuild, temperatureOf, withGuitarOf } from './options.ts';
import { printJson, showProgress, writeOutput } from './output.ts';
import { oversamplingOf, readInput, resamplingOf } from './recording-input.ts';

/** The same hiss every time. */
const NOISE_SEED = 1;

/** A whole build over a recording, into a float32 WAV on the same scale of volts. */
export function renderCommand(options: Options): void {
  const build = readBuild(options);
  if (options.out === undefined) throw new CliError('--out names no file to write.');
  const { inputV, sampleRateHz, voltsPerFullScale } = readInput(options);
  const factor = oversamplingOf(options, OFFLINE_OVERSAMPLING);
  const rendered = renderOffline(withGuitarOf(options, networkOf(build, temperatureOf(options))), inputV, {
    factor,
    quality: resamplingOf(options),
    sampleRateHz,
    ...(process.stderr.isTTY ? { onProgress: showProgress } : {}),
  });
  if (options.noise) addNoiseOf(build, rendered.outputV, sampleRateHz, options);
  const channel = rendered.outputV.map((volts) => volts / voltsPerFullScale);
  writeOutput(options.out, encodeWav({ sampleRateHz, channels: [channel] }));
  report(options, rendered, { sampleRateHz, factor, voltsPerFullScale });
}

/** Adds what the build hisses at rest to what it plays. */
function addNoiseOf(build: Build, outputV: Float64Array, sampleRateHz: number, options: Options): void {
  const conditions = {
    input: noiseInputOf(options),
    temperatureK: temperatureOf(options),
    isBypassed: false,
  };
  const { points } = buildNoise(build, conditions);
  addNoise(outputV, noiseFilter(points, sampleRateHz), sampleRateHz, NOISE_SEED);
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
