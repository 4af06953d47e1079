import { readFileSync } from 'node:fs';
import type { Build } from '../engine/builds/build.ts';
import { parseBuildFile } from '../engine/builds/build-file.ts';

/**
 * A clean-blend build whose rails have almost no capacitors, so that all its diodes, twelve transistors in a row at each
 * of four places, are one block of more than fifty ports.
 */
export function entangledBuild(): Build {
  const file = new URL('./fixtures/entangled-build.json', import.meta.url);
  return parseBuildFile(readFileSync(file, 'utf8'));
}
