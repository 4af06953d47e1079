import { isRecord, readJson } from '../../engine/input/json.ts';
import { MOST_CHAIN_CHARACTERS } from '../../engine/input/limits.ts';
import { inLine } from '../../engine/input/shown-text.ts';
import { type LogEntry, MOST_LOG_NOTE_CHARACTERS, type ModLog, shortened } from './mod-log.ts';

const VERSION = 1;
/** A title of three pedals, or the swaps of one entry. */
const MOST_LINE_CHARACTERS = 2000;

/** The log as the browser stores it. */
export function logJson({ entries, dropped }: ModLog): string {
  return JSON.stringify({ version: VERSION, dropped, entries });
}

/** The entries of a stored text that are sound, which may come from anybody. */
export function readLog(text: string): { readonly log: ModLog; readonly isWhole: boolean } {
  const kept = readJson(text);
  const { version, entries, dropped } = isRecord(kept) ? kept : {};
  const list: readonly unknown[] = version === VERSION && Array.isArray(entries) ? entries : [];
  const sound = list.flatMap((entry) => readEntry(entry) ?? []);
  const isCount = typeof dropped === 'number' && Number.isSafeInteger(dropped) && dropped >= 0;
  // Numbers are given anew: two entries with one number would be changed together.
  const numbered = sound.map((entry, index) => ({ ...entry, id: sound.length - index }));
  return {
    log: shortened({ entries: numbered, dropped: isCount ? dropped : 0 }),
    isWhole: version === VERSION && Array.isArray(entries) && sound.length === list.length,
  };
}

function readEntry(entry: unknown): Omit<LogEntry, 'id'> | undefined {
  if (!isRecord(entry)) return undefined;
  const { time, slot, file } = entry;
  const isTime = typeof time === 'string' && time.length <= 40 && Number.isFinite(Date.parse(time));
  const isFile = typeof file === 'string' && file.length <= MOST_CHAIN_CHARACTERS;
  const lines = [entry['title'], entry['origin'], entry['did'], entry['played'], entry['note']];
  if (!isTime || !isFile || (slot !== 'a' && slot !== 'b') || !lines.every(isText)) return undefined;
  const [title = '', origin = '', did = '', played = '', note = ''] = lines.map(logLine);
  return { time, slot, file, title, origin, did, played, note: logNote(note) };
}

function isText(value: unknown): value is string {
  return typeof value === 'string';
}

/** A text of an entry on one line. */
export function logLine(text: string): string {
  return inLine(text, MOST_LINE_CHARACTERS);
}

/** A note as typed, on one line. */
export function logNote(text: string): string {
  return inLine(text.replace(/\s+/g, ' ').trim(), MOST_LOG_NOTE_CHARACTERS);
}

/** The entries as plain text, oldest first, as in a notebook. */
export function logText(entries: readonly LogEntry[]): string {
  const lines = [...entries]
    .reverse()
    .flatMap(({ time, slot, title, did, played, note }) => [
      `${localTime(time)}  ${slot.toUpperCase()}  ${title}`,
      `  ${did}`,
      ...(played === '' ? [] : [`  Played: ${played}`]),
      ...(note === '' ? [] : [`  Note: ${note}`]),
    ]);
  return `${['Mod log', '', ...lines].join('\n')}\n`;
}

/** ISO 8601 in local time with its distance from UTC, in which it says both: "2026-11-29 21:10:05+01:00". */
export function localTime(time: string): string {
  const date = new Date(time);
  const minutes = -date.getTimezoneOffset();
  const local = new Date(date.getTime() + minutes * 60_000).toISOString().slice(0, 19).replace('T', ' ');
  const two = (value: number) => String(Math.floor(value)).padStart(2, '0');
  return `${local}${minutes < 0 ? '-' : '+'}${two(Math.abs(minutes) / 60)}:${two(Math.abs(minutes) % 60)}`;
}
