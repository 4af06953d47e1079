import { SLOTS, type Slot } from '../../worklets/bench-messages.ts';
import { originText, type Sides } from './chains.ts';
import type { LogEntry, ModLog } from './mod-log.ts';
import { AS_IT_WAS, LOADED, SIDES_SWAPPED } from './mod-log-changes.ts';
import { localTime, logLine } from './mod-log-file.ts';

/** As many as leave the sheet one page for them at most. */
const MOST_LINES = 20;

/** What a bench sheet says of the mod log: the newest entries of the build that is on a side, the oldest of them first. */
export function sheetLog(log: ModLog, sides: Sides, slot: Slot): readonly string[] {
  const own = historyOf(log, sides, slot);
  const lines = own.slice(0, MOST_LINES).reverse().map(lineOf);
  const older = own.length - lines.length;
  return older === 0 ? lines : [`${older} older ${older === 1 ? 'entry' : 'entries'} not printed.`, ...lines];
}

/** Newest first: since the build was loaded, on whichever side it was then. */
function historyOf({ entries }: ModLog, sides: Sides, slot: Slot): readonly LogEntry[] {
  const origin = logLine(originText(sides, slot));
  const own: LogEntry[] = [];
  let side = slot;
  for (const entry of entries) {
    const { did } = entry;
    // Each exchange has an entry for both sides; that of the first side is the older one.
    if (did === SIDES_SWAPPED && entry.slot === SLOTS[0]) side = side === 'a' ? 'b' : 'a';
    if (entry.slot !== side || entry.origin !== origin || did === SIDES_SWAPPED || did === AS_IT_WAS)
      continue;
    own.push(entry);
    if (did.startsWith(LOADED)) break;
  }
  return own;
}

/** Without seconds, which nobody needs on paper. */
function lineOf({ time, did, played, note }: LogEntry): string {
  const heard = played === '' ? '' : ` Played: ${played}.`;
  const noted = note === '' ? '' : ` Note: ${note}`;
  return `${localTime(time).slice(0, 16)}: ${did.replace(/\.$/, '')}.${heard}${noted}`;
}
