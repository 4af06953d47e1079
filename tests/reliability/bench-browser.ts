import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { type Browser, type BrowserContext, chromium, type Page } from 'playwright-core';
import { buildIfStale, SITE } from '../../ui/production-build.mjs';
import { staticFiles } from '../../ui/static-files.mjs';
import { CHROMIUM_FLAGS, requireChromium } from '../chromium.mjs';
import type { Verdict } from './kind.ts';

/** A page that shows nothing within this time never will, also on a busy machine. */
const BLANK_MS = 30_000;

export interface PageTrial {
  /** The browser's stored data of earlier visits. */
  readonly texts?: Readonly<Record<string, string>>;
  /** Runs in the page before its scripts. */
  readonly spoil?: () => void;
  /** The test of the opened page. Throws if the page behaves wrongly. */
  readonly use?: (page: Page) => Promise<void>;
}

/** The built page in a Chromium without any data of the test before. */
export class BenchBrowser {
  #opened: Promise<{ readonly browser: Browser; readonly server: Server }> | undefined;

  /** Opens the page; the figure is the longest time without an answer, s. */
  async attempt({ texts = {}, spoil, use }: PageTrial): Promise<Verdict> {
    this.#opened ??= openBrowser();
    const { browser, server } = await this.#opened;
    const origin = `http://localhost:${(server.address() as AddressInfo).port}`;
    const localStorage = Object.entries(texts).map(([name, value]) => ({ name, value }));
    const context = await browser.newContext({
      storageState: { cookies: [], origins: [{ origin, localStorage }] },
    });
    try {
      return await tryPage(context, origin, { spoil, use });
    } finally {
      await context.close();
    }
  }

  async end(): Promise<void> {
    const opened = await this.#opened;
    await opened?.browser.close();
    opened?.server.close();
    this.#opened = undefined;
  }
}

async function openBrowser() {
  await buildIfStale();
  const server = createServer(staticFiles(SITE));
  await new Promise<void>((resolve) => server.listen(0, 'localhost', resolve));
  const browser = await chromium.launch({ executablePath: requireChromium(), args: [...CHROMIUM_FLAGS] });
  return { browser, server };
}

async function tryPage(
  context: BrowserContext,
  address: string,
  { spoil, use }: { readonly spoil: PageTrial['spoil']; readonly use: PageTrial['use'] },
): Promise<Verdict> {
  const page = await context.newPage();
  const errors: string[] = [];
  page.on('pageerror', ({ message }) => errors.push(message));
  page.on('crash', () => errors.push('the page crashed'));
  await page.addInitScript(watchTasks);
  if (spoil) await page.addInitScript(spoil);
  const reason = async (task: Promise<unknown> | undefined) => {
    await task?.catch((error: unknown) => errors.push(String(error).split('\n')[0] ?? ''));
  };
  await page.goto(address);
  await reason(page.waitForFunction(isShown, undefined, { timeout: BLANK_MS }));
  if (errors.length === 0) await reason(use?.(page));
  const figure = await page.evaluate(() => (globalThis as Watched).longestTaskMs / 1000);
  return { fault: errors[0], figure };
}

type Watched = typeof globalThis & { longestTaskMs: number };

/** Runs in the page: records the longest time in which it does not answer. */
function watchTasks(): void {
  const watched = globalThis as Watched;
  watched.longestTaskMs = 0;
  new PerformanceObserver((list) => {
    for (const { duration } of list.getEntries())
      watched.longestTaskMs = Math.max(watched.longestTaskMs, duration);
  }).observe({ type: 'longtask', buffered: true });
}

/** Runs in the page: whether the bench with its schematic is there, or the page that replaces it after a failure. */
function isShown(): boolean {
  const schematic = document
    .querySelector('cliplead-bench')
    ?.shadowRoot?.querySelector('build-schematic')
    ?.shadowRoot?.querySelector('svg');
  return schematic != null || document.querySelector('.rescue [role="alert"]') !== null;
}
