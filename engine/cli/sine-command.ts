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
import { networkOfChain, placeIn } from '../builds/chain.ts';
import { netOf, pedalPrefix, readChain } from './chain-options.ts';
import { clippingData } from './clipping-data.ts';
import { numberOf, type Options, temperatureOf } from './options.ts';
import { printJson, printTable } from './output.ts';

/** A steady sine through a chain: harmonics at the output or any net, and levels with the swing limits of parts. */
export function sineCommand(options: Options): void {
  const chain = readChain(options);
  const temperatureK = temperatureOf(options);
  const network = networkOfChain(chain, temperatureK);
  const net = netOf(options, chain, network);
  const test = {
    hz: numberOf('hz', options.hz, USUAL_TEST.hz),
    peakV: numberOf('peak', options.peak, USUAL_TEST.peakV),
  };
  const pedals = chain.pedals
    .map(({ build }, position) => ({ build, position, place: placeIn(chain, position) }))
    .filter(({ place }) => place.isOn);
  const points = levelPoints(chain, network, test.hz);
  const analysis = sineAnalysis(network, test, net, points);
  const { harmonics, levels } = analysis;
  const clipping = pedals.map(({ build, position, place }) => ({
    pedal: position + 1,
    name: `${pedalPrefix(chain, position)}clips from`,
    ...clippingLevelOf(build, temperatureK, { chain: place }),
  }));
  if (options.json) {
    const levelsOf = clipping.map(({ name: _, ...level }) => level);
    const data = clippingData(chain, levelsOf);
    printJson({ net, isSettled: harmonics.isSettled, harmonics, clipping: data, levels });
  } else printReport(net, analysis, clipping);
}

function printReport(
  net: string,
  { harmonics, levels }: SineAnalysis,
  clipping: readonly (ClippingLevel & { readonly name: string })[],
): void {
  const { fundamentalHz, inputPeakV, fundamentalV, relativeDb, distortionOfFundamental } = harmonics;
  process.stdout.write(`${fundamentalHz} Hz, ${inputPeakV} V peak, at net ${net}\n\n`);
  printTable([
    ['fundamental', `${fundamentalV.toPrecision(4)} V peak`],
    ...relativeDb.map((decibels, index) => [`H${index + 2}`, `${decibels.toFixed(1)} dB`]),
    ['THD', `${(100 * distortionOfFundamental).toFixed(2)} %`],
    ...clipping.map((level) => [level.name, clippingLevelText(level)]),
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
