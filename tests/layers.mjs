import { existsSync, readdirSync } from 'node:fs';
import path from 'node:path';
import { fileURLToPath } from 'node:url';
import { checkImports } from './layer-check.mjs';

/**
 * Checks the imports with the rules of .dependency-cruiser.cjs, and compares the list of modules that
 * dependency-cruiser found with the files on the disk: with a compiler or resolver that it does not
 * support, it finds no modules and reports no violation.
 */
const PROJECT = path.resolve(path.dirname(fileURLToPath(import.meta.url)), '..');
const LAYERS = ['presets', 'engine', 'worklets', 'ui'];
const SOURCE = /[.](ts|mjs)$/;

process.chdir(PROJECT);
const { violations, modules } = await checkImports(
  PROJECT,
  LAYERS.filter((layer) => sourceFiles(layer).length > 0),
);

const problems = [...violations, ...LAYERS.flatMap(unseenFiles)];
for (const problem of problems) console.error(problem);
const seen = LAYERS.map((layer) => `${layer} ${seenIn(layer).length}`).join(', ');
console.log(`${problems.length} problems in the layers; modules seen: ${seen}`);
if (problems.length > 0) process.exitCode = 1;

/**
 * Modules of a layer in the report. Data and styles are in it too if something imports them.
 *
 * @param {string} layer
 */
function seenIn(layer) {
  return modules.filter((source) => source.startsWith(`${layer}/`) && SOURCE.test(source));
}

/**
 * Files of a layer that are missing from the report, and modules in the report that are not files.
 *
 * @param {string} layer
 */
function unseenFiles(layer) {
  const files = new Set(sourceFiles(layer));
  const seen = new Set(seenIn(layer));
  return [
    ...[...files].filter((file) => !seen.has(file)).map((file) => `not seen: ${file}`),
    ...[...seen].filter((module) => !files.has(module)).map((module) => `seen, but no file: ${module}`),
  ];
}

/** @param {string} layer */
function sourceFiles(layer) {
  const folder = path.join(PROJECT, layer);
  if (!existsSync(folder)) return [];
  return readdirSync(folder, { recursive: true, encoding: 'utf8' })
    .filter((file) => SOURCE.test(file))
    .map((file) => `${layer}/${file.replaceAll(path.sep, '/')}`);
}
