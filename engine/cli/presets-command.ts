import { parseBuildFile } from '../builds/build-file.ts';
import type { Options } from './options.ts';
import { printJson, printTable } from './output.ts';
import { presetNames, presetText } from './preset-files.ts';

/** Lists the presets: name, title, circuit. */
export function presetsCommand(options: Options): void {
  const presets = presetNames().map((name) => {
    const { title, circuit } = parseBuildFile(presetText(name) ?? '');
    return { name, title, circuit: circuit.id };
  });
  if (options.json) printJson(presets);
  else printTable(presets.map(({ name, title, circuit }) => [name, title, circuit]));
}
