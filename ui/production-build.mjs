import { readdirSync, statSync } from 'node:fs';
import path from 'node:path';
import { fileURLToPath } from 'node:url';

const PROJECT = path.resolve(path.dirname(fileURLToPath(import.meta.url)), '..');
const CONFIGURATION = ['vite.config.ts', 'tsconfig.json', 'tsconfig.base.json', 'package-lock.json'];
const SOURCES = ['engine', 'worklets', 'ui', 'presets', ...CONFIGURATION];

/** Absolute path of the built site. */
export const SITE = path.join(PROJECT, 'dist');

/** Builds the site where it is missing or older than any of its sources. Rejects if the build fails. */
export async function buildIfStale() {
  if (isFresh()) return;
  const { build } = await import('vite');
  await build({ configFile: path.join(PROJECT, 'vite.config.ts'), logLevel: 'warn' });
}

function isFresh() {
  const built = statSync(path.join(SITE, 'index.html'), { throwIfNoEntry: false })?.mtimeMs;
  return built !== undefined && SOURCES.every((source) => newestMs(path.join(PROJECT, source)) < built);
}

/**
 * Time of the newest change at or below a path, ms; folders count, so that a removed file is noticed.
 *
 * @param {string} place
 * @returns {number}
 */
function newestMs(place) {
  const entry = statSync(place, { throwIfNoEntry: false });
  if (entry === undefined) return 0;
  if (!entry.isDirectory()) return entry.mtimeMs;
  const inside = readdirSync(place).map((name) => newestMs(path.join(place, name)));
  return Math.max(entry.mtimeMs, ...inside);
}
