import { type OfflineRender, renderOffline } from '../analysis/offline-render.ts';
import { encodeWav } from '../audio/wav.ts';
import { networkOf } from '../builds/network-of-build.ts';
import { CliError } from './cli-error.ts';
import { type Options, readBuild, temperatureOf } from './options.ts';
import { printJson, writeOutput } from './output.ts';
import { oversamplingOf, readInput, resamplingOf } from './recording-input.ts';

/** A whole build over a recording, into a float32 WAV on the same scale of volts. */
export function renderCommand(options: Options): void {
  const build = readBuild(options);
  if (options.out === undefined) throw new CliError('--out names no file to write.');
  const { inputV, sampleRateHz, voltsPerFullScale } = readInput(options);
  const factor = oversamplingOf(options);
  const rendered = renderOffline(networkOf(build, temperatureOf(options)), inputV, {
    factor,
    quality: resamplingOf(options),
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

function showProgress(share: number): void {
  process.stderr.write(`\r${Math.round(100 * share)} %${share >= 1 ? '\n' : ''}`);
}
