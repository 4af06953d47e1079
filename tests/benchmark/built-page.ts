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
    return await use(page);
  } finally {
    await browser.close();
    server.close();
  }
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
