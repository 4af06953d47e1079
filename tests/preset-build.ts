import { readFileSync } from 'node:fs';
import type { Build } from '../engine/builds/build.ts';
import { parseBuildFile } from '../engine/builds/build-file.ts';

const OF_FIRST_REVISION = '-revision-1';

/**
 * A preset as a build, by its file name without the ending; with "-revision-1" behind it, as the preset was with the
 * first revision of its circuit.
 */
export function presetBuild(name: string): Build {
  const isFirst = name.endsWith(OF_FIRST_REVISION);
  const file = isFirst
    ? `./fixtures/revision-1/${name.slice(0, -OF_FIRST_REVISION.length)}.json`
    : `../presets/${name}.json`;
  return parseBuildFile(readFileSync(new URL(file, import.meta.url), 'utf8'));
}
