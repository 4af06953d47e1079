import type { Page } from 'playwright-core';

/** Chromium's record of a span on one of its threads. */
export interface TraceEvent {
  readonly name: string;
  readonly ph: string;
  readonly pid: number;
  readonly tid: number;
  /** Start and length, and the processor time of the thread during it, µs. */
  readonly ts: number;
  readonly dur?: number;
  readonly tdur?: number;
  readonly args: { readonly name?: string };
}

/** The trace events while a function runs, in order. */
export async function traced(
  page: Page,
  categories: readonly string[],
  meanwhile: () => Promise<void>,
): Promise<readonly TraceEvent[]> {
  const session = await page.context().newCDPSession(page);
  const events: TraceEvent[] = [];
  session.on('Tracing.dataCollected', ({ value }) => {
    events.push(...(value as unknown as TraceEvent[]));
  });
  await session.send('Tracing.start', {
    transferMode: 'ReportEvents',
    traceConfig: { includedCategories: [...categories] },
  });
  await meanwhile();
  const complete = new Promise((resolve) => session.once('Tracing.tracingComplete', resolve));
  await session.send('Tracing.end');
  await complete;
  await session.detach();
  return events.sort((a, b) => a.ts - b.ts);
}
