import type { Page } from 'playwright-core';
import type { Action } from '../../ui/state/bench-state.ts';
import { difference, onBuiltPage, playbackStats } from './built-page.ts';
import { type TraceEvent, traced } from './page-trace.ts';
import { median } from './solver-benchmark.ts';

/** The time that a kind of swap takes on the built page while it plays, ms; medians of several runs. */
export interface SwapTrace {
  readonly swap: string;
  /** The page's longest task from the action until the screen has changed: processor time, and by the clock. */
  readonly longestTaskMs: number;
  readonly longestTaskClockMs: number;
  /** From the action until the audio thread has received what it plays next. */
  readonly toAudioThreadMs: number;
  /** Processor time in which the audio thread receives it: instance, buffers, coefficients. */
  readonly receivedMs: number;
}

export interface SwapTraces {
  readonly swaps: readonly SwapTrace[];
  /** Gaps in the sound over all swaps, and the number of swaps; undefined if the browser does not count them. */
  readonly underruns: number | undefined;
  readonly count: number;
}

const SWAPS: readonly (readonly [swap: string, action: Action])[] = [
  ['value', { type: 'setPart', slot: 'a', ref: 'R4', setting: { value: '2k2' } }],
  ['part left out', { type: 'setPart', slot: 'a', ref: 'C4', setting: { value: '51p', fit: 'open' } }],
  ['op-amp of another kind', { type: 'setPart', slot: 'a', ref: 'U1', setting: { type: 'TL072' } }],
  ['switch', { type: 'throwSwitch', slot: 'a', name: 'clipping', position: 'lifted' }],
  ['exchange of sides', { type: 'exchange' }],
];
const CATEGORIES = [
  'devtools.timeline',
  'disabled-by-default-devtools.timeline',
  'toplevel',
  'blink.user_timing',
];
/** The screen shows the result of a swap within this time after the audio thread was sent it. */
const DRAWN_MS = 300;
const BEGUN = 'swap begun';
const HANDED_OVER = 'swap handed over';
/** Chromium's names for a task on the page's thread, and for a received message on the audio thread. */
const TASK = 'RunTask';
const RECEIPT = 'SimpleWatcher::OnHandleReady';

/** Traces each kind of swap on the built page, at 8x; the circuits are new only in the first run. */
export async function traceSwaps(rounds: number): Promise<SwapTraces | undefined> {
  return onBuiltPage(async (page) => {
    await page.waitForFunction(isOpen);
    await page.getByRole('button', { name: 'Listen' }).click();
    await page.evaluate(prepareTrace, HANDED_OVER);
    await page.waitForFunction(isPlaying);
    const before = await page.evaluate(playbackStats);
    const swaps: SwapTrace[] = [];
    for (const [swap, action] of SWAPS) {
      const traces: SwapTrace[] = [];
      for (let round = 0; round < rounds; round++) {
        traces.push(await traceSwap(page, swap, action));
        await page.evaluate(takeBack);
      }
      swaps.push(medians(swap, traces));
    }
    const after = await page.evaluate(playbackStats);
    const underruns = difference(after.underrunEvents, before.underrunEvents);
    return { swaps, underruns, count: 2 * SWAPS.length * rounds };
  });
}

async function traceSwap(page: Page, swap: string, action: Action): Promise<SwapTrace> {
  const events = await traced(page, CATEGORIES, () => page.evaluate(swapParts, [action, BEGUN] as const));
  const begun = events.find(({ name }) => name === BEGUN);
  const handed = events.find(({ name }) => name === HANDED_OVER);
  if (!begun || !handed) throw new Error(`the swap "${swap}" was not traced`);
  const tasks = events.filter(
    ({ name, pid, tid, ts, dur = 0 }) =>
      name === TASK &&
      pid === begun.pid &&
      tid === begun.tid &&
      ts + dur >= begun.ts &&
      ts < handed.ts + 1000 * DRAWN_MS,
  );
  const receipt = receiptIn(events, handed);
  return {
    swap,
    longestTaskMs: Math.max(...tasks.map(({ tdur = 0 }) => tdur)) / 1000,
    longestTaskClockMs: Math.max(...tasks.map(({ dur = 0 }) => dur)) / 1000,
    toAudioThreadMs: (receipt.ts + (receipt.dur ?? 0) - begun.ts) / 1000,
    receivedMs: (receipt.tdur ?? 0) / 1000,
  };
}

/** The first message that the audio thread receives after the swap was sent. */
function receiptIn(events: readonly TraceEvent[], handed: TraceEvent): TraceEvent {
  const thread = events.find(
    ({ name, pid, args }) =>
      name === 'thread_name' && pid === handed.pid && args.name?.includes('AudioWorklet') === true,
  );
  const receipt = events.find(
    ({ name, pid, tid, ts, dur = 0 }) =>
      name === RECEIPT && pid === thread?.pid && tid === thread.tid && ts + dur >= handed.ts,
  );
  if (!receipt) throw new Error('the audio thread received nothing');
  return receipt;
}

function medians(swap: string, traces: readonly SwapTrace[]): SwapTrace {
  const of = (number: Exclude<keyof SwapTrace, 'swap'>) =>
    median(Float64Array.from(traces, (trace) => trace[number]));
  return {
    swap,
    longestTaskMs: of('longestTaskMs'),
    longestTaskClockMs: of('longestTaskClockMs'),
    toAudioThreadMs: of('toAudioThreadMs'),
    receivedMs: of('receivedMs'),
  };
}

interface Bench extends Element {
  readonly updateComplete: Promise<boolean>;
  readonly store: { act(action: Action): void; settled(): Promise<void> };
  readonly session: Record<'setCircuit' | 'setValues', (...told: unknown[]) => void> & {
    readonly state: { readonly isRunning: boolean };
    readTelemetry(): { readonly load: number };
  };
}

/** These functions run in the page. */
function isOpen(): boolean {
  return (document.querySelector('cliplead-bench') as Bench | null)?.store !== undefined;
}

/** The load is known after a second of sound. */
function isPlaying(): boolean {
  const { session } = document.querySelector('cliplead-bench') as Bench;
  return session.state.isRunning && session.readTelemetry().load > 0;
}

/** At 8x on every machine, and with a mark at each hand-over. */
function prepareTrace(handedOver: string): void {
  const { store, session } = document.querySelector('cliplead-bench') as Bench;
  store.act({ type: 'rate', choice: 8 });
  for (const name of ['setCircuit', 'setValues'] as const) {
    const told = session[name].bind(session);
    session[name] = (...args) => {
      performance.mark(handedOver);
      told(...args);
    };
  }
}

async function swapParts([action, begun]: readonly [action: Action, begun: string]): Promise<void> {
  const bench = document.querySelector('cliplead-bench') as Bench;
  performance.mark(begun);
  bench.store.act(action);
  await bench.store.settled();
  await bench.updateComplete;
  // Until it is faded in and everything that follows is drawn.
  await new Promise((resolve) => setTimeout(resolve, 600));
}

async function takeBack(): Promise<void> {
  const { store } = document.querySelector('cliplead-bench') as Bench;
  store.act({ type: 'undo' });
  await store.settled();
  await new Promise((resolve) => setTimeout(resolve, 600));
}
