import { existsSync, readdirSync, readFileSync } from 'node:fs';

const PRESETS = new URL('../../presets/', import.meta.url);
const SUFFIX = '.json';

/** Files of chains begin with this, files of builds do not. */
const CHAIN_PREFIX = 'chain-';

/** Names of the presets: their files' names without the ending. Other files are not among them. */
export function presetNames(): readonly string[] {
  return fileNames().filter((name) => !name.startsWith(CHAIN_PREFIX));
}

/** The same of the presets that are chains. */
export function chainPresetNames(): readonly string[] {
  return fileNames().filter((name) => name.startsWith(CHAIN_PREFIX));
}

function fileNames(): readonly string[] {
  return readdirSync(PRESETS)
    .filter((file) => file.endsWith(SUFFIX) && !file.endsWith('.schema.json'))
    .map((file) => file.slice(0, -SUFFIX.length))
    .sort();
}

/** Name of a preset's file; undefined if there is no such preset. */
export function presetFile(name: string): string | undefined {
  return fileNames().includes(name) ? `${name}${SUFFIX}` : undefined;
}

/** Text of a preset's build or chain file; undefined if there is no such preset. */
export function presetText(name: string): string | undefined {
  if (!fileNames().includes(name)) return undefined;
  return readFileSync(new URL(`${name}${SUFFIX}`, PRESETS), 'utf8');
}

/** Assumed volts of the bundled recordings. */
interface RecordingEntry {
  readonly file: string;
  readonly title: string;
  readonly peakVolts: number;
}

/** A bundled recording by its file's name, with or without the ending. */
export function bundledRecording(
  name: string,
): { readonly bytes: Uint8Array; readonly peakVolts: number } | undefined {
  const folder = new URL('recordings/', PRESETS);
  const list: unknown = JSON.parse(readFileSync(new URL('recordings.json', folder), 'utf8'));
  const entries = list as readonly RecordingEntry[];
  const entry = entries.find(({ file }) => file === name || file.replace(/\.\w+$/, '') === name);
  if (!entry || existsSync(name)) return undefined;
  return { bytes: readFileSync(new URL(entry.file, folder)), peakVolts: entry.peakVolts };
}
