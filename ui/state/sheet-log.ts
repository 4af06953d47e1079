import type { Slot } from '../../worklets/bench-messages.ts';
import { originText, type Sides } from './chains.ts';
import type { LogEntry, ModLog } from './mod-log.ts';
import { localTime, logLine } from './mod-log-file.ts';

/** As many as leave the sheet one page for them at most. */
const MOST_LINES = 20;

/** What a bench sheet says of the mod log: the newest entries of the build that is on a side, the oldest of them first. */
export function sheetLog({ entries }: ModLog, sides: Sides, slot: Slot): readonly string[] {
  const origin = logLine(originText(sides, slot));
  const own = entries.filter((entry) => entry.slot === slot && entry.origin === origin);
  const lines = own.slice(0, MOST_LINES).reverse().map(lineOf);
  const older = own.length - lines.length;
  return older === 0 ? lines : [`${older} older ${older === 1 ? 'entry' : 'entries'} not printed.`, ...lines];
}

/** Without seconds, which nobody needs on paper. */
function lineOf({ time, did, played, note }: LogEntry): string {
  const heard = played === '' ? '' : ` Played: ${played}.`;
  const noted = note === '' ? '' : ` Note: ${note}`;
  return `${localTime(time).slice(0, 16)}: ${did.replace(/\.$/, '')}.${heard}${noted}`;
}
