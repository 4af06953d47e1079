import { parseChainFile } from '../builds/chain-file.ts';
import type { Options } from './options.ts';
import { printJson, printTable } from './output.ts';
import { chainPresetNames, presetNames, presetText } from './preset-files.ts';

/** Lists the presets: name, title, circuits. */
export function presetsCommand(options: Options): void {
  const presets = [...presetNames(), ...chainPresetNames()].map((name) => {
    const { title, chain } = parseChainFile(presetText(name) ?? '');
    return { name, title, circuit: chain.pedals.map(({ build }) => build.circuit.id).join(', ') };
  });
  if (options.json) printJson(presets);
  else printTable(presets.map(({ name, title, circuit }) => [name, title, circuit]));
}
