import { loudnessReadings } from '../audio/programme-loudness.ts';
import { truePeakDb } from '../audio/true-peak.ts';
import { CliError } from './cli-error.ts';
import type { Options } from './options.ts';
import { printJson, printTable } from './output.ts';
import { readRecording } from './recording-input.ts';

/** More channels than two have weights of their own in BS.1770. */
const MOST_CHANNELS = 2;

/** Loudness and true peak of a recording as it is in its file, after ITU-R BS.1770-5. */
export function loudnessCommand(options: Options): void {
  const { channels, sampleRateHz } = readRecording(options);
  if (channels.length > MOST_CHANNELS) {
    throw new CliError(
      `--in: "${options.in}" has ${channels.length} channels; loudness is measured of 1 or 2.`,
    );
  }
  const readings = loudnessReadings(channels, sampleRateHz);
  const truePeakDbtp = truePeakDb(channels);
  const seconds = channels[0]!.length / sampleRateHz;
  if (options.json) {
    // JSON has no infinity: what was not measured is null.
    printJson({
      in: options.in,
      channels: channels.length,
      sampleRateHz,
      seconds,
      ...readings,
      truePeakDbtp,
    });
    return;
  }
  const shown = (value: number, unit: string) =>
    Number.isFinite(value) ? `${value.toFixed(1)} ${unit}` : 'none';
  printTable([
    ['channels', `${channels.length}`],
    ['integrated', shown(readings.integratedLufs, 'LUFS')],
    ['momentary maximum', shown(readings.maximumMomentaryLufs, 'LUFS')],
    ['short-term maximum', shown(readings.maximumShortTermLufs, 'LUFS')],
    ['true peak', shown(truePeakDbtp, 'dBTP')],
  ]);
}
