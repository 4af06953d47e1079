import type { Slot } from '../../worklets/bench-messages.ts';

/** What happened to one side of the bench, with the state of that side after it. */
export interface LogEntry {
  /** Larger for a later entry. */
  readonly id: number;
  /** ISO 8601. */
  readonly time: string;
  readonly slot: Slot;
  readonly title: string;
  /** What the build started from: builds with the same start have their history together. */
  readonly origin: string;
  /** What happened, such as "C3 47n to 100n". */
  readonly did: string;
  /** What was played; empty for nothing. */
  readonly played: string;
  /** By the builder; empty for none. */
  readonly note: string;
  /** The side as a build or chain file. */
  readonly file: string;
}

/** The history of what was on the bench, newest first. Immutable. */
export interface ModLog {
  readonly entries: readonly LogEntry[];
  /** The oldest ones, which made room. */
  readonly dropped: number;
}

export const EMPTY_LOG: ModLog = { entries: [], dropped: 0 };

/** A day of swaps has some 100; with them all, the list is still quickly read and stored. */
export const MOST_ENTRIES = 300;
/** Of all files together: browsers store some 5 million characters for a site, and a preset takes some thousand. */
export const MOST_LOG_CHARACTERS = 1_000_000;
export const MOST_LOG_NOTE_CHARACTERS = 500;

/** An entry that has no place in the log yet. */
export type NewEntry = Omit<LogEntry, 'id' | 'note'>;

export function withEntry(log: ModLog, entry: NewEntry): ModLog {
  const id = (log.entries[0]?.id ?? 0) + 1;
  return shortened({ ...log, entries: [{ ...entry, id, note: '' }, ...log.entries] });
}

/** With an entry told anew, as when a dial is turned on: its number and note stay. */
export function withEntryChanged(log: ModLog, id: number, change: Partial<LogEntry>): ModLog {
  const entries = log.entries.map((entry) => (entry.id === id ? { ...entry, ...change } : entry));
  return shortened({ ...log, entries });
}

/** The entries in which all words of a search occur, in any order, letters large or small. */
export function foundEntries(entries: readonly LogEntry[], search: string): readonly LogEntry[] {
  const words = search
    .toLowerCase()
    .split(/\s+/)
    .filter((word) => word !== '');
  if (words.length === 0) return entries;
  return entries.filter(({ slot, title, did, played, note }) => {
    const text = [slot, title, did, played, note].join('\n').toLowerCase();
    return words.every((word) => text.includes(word));
  });
}

export function withoutEntry(log: ModLog, id: number): ModLog {
  return { ...log, entries: log.entries.filter((entry) => entry.id !== id) };
}

/** Both logs in one; the entries of `later` get the higher numbers. */
export function joinedLogs(later: ModLog, earlier: ModLog): ModLog {
  const most = earlier.entries[0]?.id ?? 0;
  const entries = [...later.entries.map((entry) => ({ ...entry, id: entry.id + most })), ...earlier.entries];
  return shortened({ entries, dropped: later.dropped + earlier.dropped });
}

/** The oldest entries make room. The newest stays, however large. */
export function shortened({ entries, dropped }: ModLog): ModLog {
  let characters = 0;
  const fits = entries.slice(0, MOST_ENTRIES).findIndex(({ file }, index) => {
    characters += file.length;
    return index > 0 && characters > MOST_LOG_CHARACTERS;
  });
  const count = fits < 0 ? Math.min(entries.length, MOST_ENTRIES) : fits;
  return { entries: entries.slice(0, count), dropped: dropped + entries.length - count };
}
