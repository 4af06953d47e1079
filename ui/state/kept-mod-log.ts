import { keptTexts } from '../storage/kept-texts.ts';
import { EMPTY_LOG, type ModLog } from './mod-log.ts';
import { logJson, readLog } from './mod-log-file.ts';

const NAME = 'mod-log';
/** What could not be read is put here before the sound entries are stored over it. */
const UNREAD_NAME = 'mod-log-unread';

/** The log of earlier visits, without damaged entries. */
export function loadModLog(): ModLog {
  const text = keptTexts.read(NAME);
  if (text === undefined) return EMPTY_LOG;
  const { log, isWhole } = readLog(text);
  if (!isWhole) {
    keptTexts.keep(UNREAD_NAME, text);
    saveModLog(log);
  }
  return log;
}

/** Stores the log; if the browser stores nothing, it lasts for this visit. */
export function saveModLog(log: ModLog): void {
  const isEmpty = log.entries.length === 0 && log.dropped === 0;
  keptTexts.keep(NAME, isEmpty ? undefined : logJson(log));
}

/** A log that could not be read whole; undefined if there is none. */
export function unreadModLog(): string | undefined {
  return keptTexts.read(UNREAD_NAME);
}

export function forgetUnreadModLog(): void {
  keptTexts.keep(UNREAD_NAME, undefined);
}
