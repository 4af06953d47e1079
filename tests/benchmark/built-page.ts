import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { chromium, type Page } from 'playwright-core';
import { buildIfStale, SITE } from '../../ui/production-build.mjs';
import { staticFiles } from '../../ui/static-files.mjs';
import { CHROMIUM_FLAGS, installedChromium } from '../chromium.mjs';

/** The browser's counts of gaps in the sound; empty if it has none. */
interface PlaybackStats {
  readonly underrunEvents?: number;
  readonly underrunDuration?: number;
}

/** Opens the built page in Chromium and runs a function with it. @returns Undefined if there is no browser. */
export async function onBuiltPage<T>(use: (page: Page) => Promise<T>): Promise<T | undefined> {
  const executablePath = installedChromium();
  if (!executablePath) return undefined;
  await buildIfStale();
  const server = createServer(staticFiles(SITE));
  await new Promise<void>((resolve) => server.listen(0, 'localhost', resolve));
  const browser = await chromium.launch({ executablePath, args: [...CHROMIUM_FLAGS] });
  try {
    // High enough for the knobs of both builds.
    const page = await browser.newPage({ viewport: { width: 1440, height: 900 } });
    await page.addInitScript(() => {
      const Native = AudioContext;
      globalThis.AudioContext = class extends Native {
        constructor(options?: AudioContextOptions) {
          super(options);
          Reflect.set(globalThis, 'heardContext', this);
        }
      };
    });
    await page.goto(`http://localhost:${(server.address() as AddressInfo).port}/`);
    await page.waitForFunction(isReady);
    return await use(page);
  } finally {
    await browser.close();
    server.close();
  }
}

/** Runs in the page. */
function isReady(): boolean {
  return Reflect.get(document.querySelector('cliplead-bench') ?? {}, 'store') !== undefined;
}

/** Drops the file of a build or chain and puts it on a side, as a user does. */
export async function putOn(page: Page, side: 'A' | 'B', text: string): Promise<void> {
  await page.evaluate(dropFile, text);
  await page.getByRole('button', { name: `Put on ${side}`, exact: true }).click();
}

/** Runs in the page. */
function dropFile(text: string): void {
  const dataTransfer = new DataTransfer();
  dataTransfer.items.add(new File([text], 'dropped.json', { type: 'application/json' }));
  const init = { bubbles: true, cancelable: true, composed: true, dataTransfer };
  const bench = document.querySelector('cliplead-bench')!;
  bench.dispatchEvent(new DragEvent('dragover', init));
  bench.dispatchEvent(new DragEvent('drop', init));
}

/** Runs in the page. */
export function playbackStats(): PlaybackStats {
  const context = Reflect.get(globalThis, 'heardContext') as { playbackStats?: PlaybackStats };
  const stats = context.playbackStats;
  return {
    ...(stats?.underrunEvents === undefined ? {} : { underrunEvents: stats.underrunEvents }),
    ...(stats?.underrunDuration === undefined ? {} : { underrunDuration: stats.underrunDuration }),
  };
}

/** The difference of two counts, if the browser has them. */
export function difference(after: number | undefined, before: number | undefined): number | undefined {
  return after === undefined || before === undefined ? undefined : after - before;
}
