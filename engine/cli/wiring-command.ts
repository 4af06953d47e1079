import { knobTurns } from '../analysis/knob-turn.ts';
import type { Build } from '../builds/build.ts';
import { buildTitle } from '../builds/build-title.ts';
import { pinoutsOf } from '../wiring/pinouts.ts';
import { wiringOf } from '../wiring/wiring-of-build.ts';
import { wiringSheet } from '../wiring/wiring-sheet.ts';
import { svgDocument } from '../wiring/wiring-svg.ts';
import { chainFiles, readChain } from './chain-options.ts';
import { CliError } from './cli-error.ts';
import { type Options, temperatureOf } from './options.ts';
import { printJson } from './output.ts';
import { checkOutputs, writeOutput } from './output-file.ts';

/** Draws the wires off the board and the pinouts of each pedal. */
export function wiringCommand(options: Options): void {
  const { out, json } = options;
  if (out === undefined && !json)
    throw new CliError('--out is missing: give an SVG file to write, or --json.');
  const builds = readChain(options).pedals.map(({ build }) => build);
  const temperatureK = temperatureOf(options);
  const reports = builds.map((build) => reportOf(build, temperatureK));
  if (out !== undefined) {
    const files = builds.map((_, index) => (builds.length === 1 ? out : numbered(out, index + 1)));
    for (const file of files) checkOutputs(chainFiles(options), { out: file });
    for (const [index, { wiring, pinouts, title }] of reports.entries())
      writeOutput('out', files[index]!, svgDocument(wiringSheet(wiring, pinouts, title), title));
  }
  if (!json) return;
  const data = reports.map(({ title, wiring, pinouts }) => ({ title, ...wiring, pinouts }));
  printJson(data.length === 1 ? data[0] : { pedals: data });
}

function reportOf(build: Build, temperatureK: number) {
  const wiring = wiringOf(build, knobTurns(build, temperatureK));
  return { title: buildTitle(build), wiring, pinouts: pinoutsOf(build) };
}

/** "wiring-2.svg" for the second pedal. */
function numbered(file: string, number: number): string {
  const [, name, ending = ''] = /^(.*?)(\.[^./\\]*)?$/s.exec(file)!;
  return `${name}-${number}${ending}`;
}
