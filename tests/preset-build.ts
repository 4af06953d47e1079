import { readFileSync } from 'node:fs';
import type { Build } from '../engine/builds/build.ts';
import { parseBuildFile } from '../engine/builds/build-file.ts';

/** A preset as a build, by its file name without the ending. */
export function presetBuild(name: string): Build {
  return parseBuildFile(readFileSync(new URL(`../presets/${name}.json`, import.meta.url), 'utf8'));
}
