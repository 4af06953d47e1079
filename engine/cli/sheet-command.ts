import { basename } from 'node:path';
import { benchSheet } from '../sheet/bench-sheet.ts';
import { type SheetSource, sheetData } from '../sheet/sheet-data.ts';
import { chainFiles, readChain } from './chain-options.ts';
import { CliError } from './cli-error.ts';
import { type Options, temperatureOf } from './options.ts';
import { printJson } from './output.ts';
import { checkOutputs, writeOutput } from './output-file.ts';
import { presetFile } from './preset-files.ts';

/** Writes the bench sheet of a build or a chain, or prints what it says. */
export function sheetCommand(options: Options): void {
  const { out, json } = options;
  const source: SheetSource = {
    chain: readChain(options),
    temperatureK: temperatureOf(options),
    date: new Date().toLocaleDateString('en-CA'),
    fileName: filesOf(options),
  };
  if (out === undefined && !json)
    throw new CliError('--out is missing: give an HTML file to write, or --json.');
  if (out !== undefined) {
    checkOutputs(chainFiles(options), { out });
    writeOutput('out', out, benchSheet(source));
  }
  if (json) printJson(sheetData(source));
}

/** The files that were read, and the options that make the build another one than theirs. */
function filesOf({ build = '', then = [], set = [], switch: thrown = [], knob = [] }: Options): string {
  const files = [build, ...then].map((name) => presetFile(name) ?? basename(name));
  const changes = [...set, ...thrown, ...knob];
  return `${files.join(', ')}${changes.length === 0 ? '' : `, with ${changes.join(', ')}`}`;
}
