import type { Build } from '../../engine/builds/build.ts';
import { parseBuildFile } from '../../engine/builds/build-file.ts';
import { swapsBetween } from '../../engine/builds/swaps.ts';
import { isSameCircuit } from '../../engine/circuits/circuit.ts';
import { CIRCUITS } from '../../engine/circuits/circuits.ts';

const FILES = import.meta.glob<string>(
  ['../../presets/*.json', '!../../presets/*.schema.json', '!../../presets/chain-*.json'],
  {
    query: '?raw',
    import: 'default',
    eager: true,
  },
);

/** A build to start from. */
export interface Preset {
  readonly name: string;
  readonly build: Build;
}

export const PRESETS: readonly Preset[] = Object.entries(FILES)
  .map(([path, text]) => ({ name: path.replace(/^.*\/|\.json$/g, ''), build: parseBuildFile(text) }))
  .sort((one, other) => order(one) - order(other) || one.name.localeCompare(other.name));

/**
 * For a build of an older file or visit without a start: with a preset's title and notes it started from that
 * preset.
 */
export function withPresetStart(build: Build): Build {
  const { circuit, title, notes } = build;
  const preset = PRESETS.find(
    (each) =>
      isSameCircuit(each.build.circuit, circuit) && each.build.title === title && each.build.notes === notes,
  );
  const tells = build.start.title !== title || swapsBetween({ ...build, ...build.start }, build).length > 0;
  return preset && !tells ? { ...build, start: preset.build.start } : build;
}

/** Circuits in their order, in each the plain build first. */
function order({ name, build }: Preset): number {
  return 2 * [...CIRCUITS.keys()].indexOf(build.circuit.id) + (name.endsWith('-plain') ? 0 : 1);
}

/** @throws RangeError for a name that no preset has. */
export function presetNamed(name: string): Build {
  const preset = PRESETS.find((candidate) => candidate.name === name);
  if (!preset) throw new RangeError(`there is no preset "${name}"`);
  return preset.build;
}
