import { parseChainFile, type TitledChain } from '../../engine/builds/chain-file.ts';
import { withPresetStart } from './presets.ts';

const FILES = import.meta.glob<string>('../../presets/chain-*.json', {
  query: '?raw',
  import: 'default',
  eager: true,
});

/** A chain to start from. */
export interface ChainPreset extends TitledChain {
  readonly name: string;
}

export const CHAIN_PRESETS: readonly ChainPreset[] = Object.entries(FILES)
  .map(([path, text]) => ({
    name: path.replace(/^.*\/|\.json$/g, ''),
    ...withStarts(parseChainFile(text)),
  }))
  .sort((one, other) => one.name.localeCompare(other.name));

/** With the presets that its builds are, as the start that later swaps are counted from. */
export function withStarts({ title, chain }: TitledChain): TitledChain {
  const pedals = chain.pedals.map((pedal) => ({ ...pedal, build: withPresetStart(pedal.build) }));
  return { title, chain: { pedals } };
}
