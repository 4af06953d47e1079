import {
  CLIPPING_LEVEL_NOTE,
  type ClippingLevel,
  clippingLevelOf,
  clippingLevelText,
} from '../analysis/clipping-level.ts';
import { type Level, levelPoints } from '../analysis/level-map.ts';
import { sineTrouble } from '../analysis/render-trouble.ts';
import { type SineAnalysis, sineAnalysis } from '../analysis/sine-analysis.ts';
import { USUAL_TEST } from '../analysis/steady-sine.ts';
import { networkOf } from '../builds/network-of-build.ts';
import { probedNode } from '../builds/probe-nets.ts';
import { CliError } from './cli-error.ts';
import { named, numberOf, type Options, readBuild, temperatureOf } from './options.ts';
import { printJson, printTable } from './output.ts';

/** A steady sine through a build: harmonics at the output or any net, and levels with the swing limits of parts. */
export function sineCommand(options: Options): void {
  const build = readBuild(options);
  const network = networkOf(build, temperatureOf(options));
  const net = options.net === undefined ? network.output : probedNode(build, network, options.net);
  if (net === undefined)
    throw new CliError(
      `--net ${named(options.net ?? '')}: the build has no net of that name that carries current.`,
    );
  const test = {
    hz: numberOf('hz', options.hz, USUAL_TEST.hz),
    peakV: numberOf('peak', options.peak, USUAL_TEST.peakV),
  };
  const analysis = sineAnalysis(network, test, net, levelPoints(build, network, test.hz));
  const { harmonics, levels } = analysis;
  const clipping = clippingLevelOf(build, temperatureOf(options));
  if (options.json) printJson({ net, isSettled: harmonics.isSettled, harmonics, clipping, levels });
  else printReport(net, analysis, clipping);
}

function printReport(net: string, { harmonics, levels }: SineAnalysis, clipping: ClippingLevel): void {
  const { fundamentalHz, inputPeakV, fundamentalV, relativeDb, distortionOfFundamental } = harmonics;
  process.stdout.write(`${fundamentalHz} Hz, ${inputPeakV} V peak, at net ${net}\n\n`);
  printTable([
    ['fundamental', `${fundamentalV.toPrecision(4)} V peak`],
    ...relativeDb.map((decibels, index) => [`H${index + 2}`, `${decibels.toFixed(1)} dB`]),
    ['THD', `${(100 * distortionOfFundamental).toFixed(2)} %`],
    ['clips from', clippingLevelText(clipping)],
  ]);
  process.stdout.write(`\n${CLIPPING_LEVEL_NOTE}\n`);
  process.stdout.write('\nPeak levels from rest, and how far the part that drives the net can swing\n');
  printTable([['net', 'stage', 'up', 'down', 'limit up', 'limit down', 'part'], ...levels.map(levelRow)]);
  for (const trouble of sineTrouble([harmonics])) process.stdout.write(`\n${trouble}\n`);
}

function levelRow({ net, stageTitle, upV, downV, limit }: Level): string[] {
  const volts = (value: number) => `${value.toFixed(3)} V`;
  const limits = limit
    ? [volts(limit.highV - limit.restV), volts(limit.restV - limit.lowV), limit.ref]
    : ['', '', ''];
  return [net, stageTitle, volts(upV), volts(downV), ...limits];
}
