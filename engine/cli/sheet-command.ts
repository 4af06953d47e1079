import { basename } from 'node:path';
import { benchSheet } from '../sheet/bench-sheet.ts';
import { chainFiles, readChain } from './chain-options.ts';
import { CliError } from './cli-error.ts';
import { type Options, temperatureOf } from './options.ts';
import { checkOutputs, writeOutput } from './output-file.ts';

/** Writes the bench sheet of a build or a chain. */
export function sheetCommand(options: Options): void {
  const { out, build = '', then = [] } = options;
  const chain = readChain(options);
  if (out === undefined) throw new CliError('--out is missing: give an HTML file to write.');
  checkOutputs(chainFiles(options), { out });
  const sheet = benchSheet({
    chain,
    temperatureK: temperatureOf(options),
    date: new Date().toLocaleDateString('en-CA'),
    fileName: [build, ...then].map((name) => basename(name)).join(', '),
  });
  writeOutput('out', out, sheet);
}
