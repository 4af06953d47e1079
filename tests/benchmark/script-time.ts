import type { Page } from 'playwright-core';
import { type TraceEvent, traced } from './page-trace.ts';

/** Time that the page's scripts take for each frame, ms. */
export interface ScriptTime {
  readonly frames: number;
  readonly medianMs: number;
  readonly percentile95Ms: number;
  readonly mostMs: number;
}

/** The browser's names for running a page's script; such events are nested. */
const SCRIPT = [
  'FunctionCall',
  'RunMicrotasks',
  'EvaluateScript',
  'FireAnimationFrame',
  'TimerFire',
  'EventDispatch',
];
/** Callbacks of one frame follow each other within this time, µs. */
const FRAME_GAP_US = 3000;
const FRAME_US = 16_667;

/** Watches a page for a while and adds up its script time from the start of each frame to the start of the next. */
export async function scriptTimePerFrame(page: Page, seconds: number): Promise<ScriptTime> {
  const events = await traced(page, ['devtools.timeline'], () => page.waitForTimeout(1000 * seconds));
  const firsts = events.filter(({ name }) => name === 'FireAnimationFrame');
  const [first] = firsts;
  if (!first) throw new Error('the page drew no frame');
  const own = events.filter(({ ph, pid, tid }) => ph === 'X' && pid === first.pid && tid === first.tid);
  const runs = merged(own.filter(({ name }) => SCRIPT.includes(name)));
  const starts = frameStarts(firsts);
  const times = starts.map((start, index) => {
    const end = starts[index + 1] ?? start + FRAME_US;
    return (
      runs.reduce((sum, [from, to]) => sum + Math.max(0, Math.min(to, end) - Math.max(from, start)), 0) / 1000
    );
  });
  times.sort((a, b) => a - b);
  const at = (share: number) => times[Math.min(times.length - 1, Math.floor(share * times.length))]!;
  return { frames: times.length, medianMs: at(0.5), percentile95Ms: at(0.95), mostMs: at(1) };
}

function frameStarts(callbacks: readonly TraceEvent[]): number[] {
  const starts: number[] = [];
  for (const { ts } of callbacks)
    if (ts - (starts.at(-1) ?? Number.NEGATIVE_INFINITY) > FRAME_GAP_US) starts.push(ts);
  return starts;
}

/** The times in which any of the events ran, so that nested ones count once. */
function merged(events: readonly TraceEvent[]): readonly (readonly [from: number, to: number])[] {
  const runs: [number, number][] = [];
  for (const { ts, dur = 0 } of events) {
    const last = runs.at(-1);
    if (last && ts <= last[1]) last[1] = Math.max(last[1], ts + dur);
    else runs.push([ts, ts + dur]);
  }
  return runs;
}
