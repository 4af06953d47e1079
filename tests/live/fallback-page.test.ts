import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { type Browser, chromium } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { buildIfStale, SITE } from '../../ui/production-build.mjs';
import { staticFiles } from '../../ui/static-files.mjs';
import { CHROMIUM_FLAGS, requireChromium } from '../chromium.mjs';

/** For what hangs: the sound is made on the page's own thread, so on a busy machine the page does everything late. */
const MOST_MS = 120_000;

/** The state of the bench that the test reads. */
interface Bench extends HTMLElement {
  readonly session: {
    readonly state: { readonly usesFallback: boolean; readonly latency: { readonly engineMs: number } };
    readTelemetry(): { readonly outputPeak: number; readonly loudnessA: number; readonly failures: number };
  };
}

describe('a browser without AudioWorklet', () => {
  let browser: Browser;
  let server: Server;

  beforeAll(async () => {
    await buildIfStale();
    server = createServer(staticFiles(SITE));
    await new Promise<void>((resolve) => server.listen(0, 'localhost', resolve));
    browser = await chromium.launch({ executablePath: requireChromium(), args: [...CHROMIUM_FLAGS] });
  });
  afterAll(async () => {
    await browser?.close();
    server?.close();
  });

  it('plays the builds on the fallback page, and says that it is slow', async () => {
    const page = await browser.newPage();
    page.setDefaultTimeout(MOST_MS);
    await page.addInitScript(() => {
      Reflect.deleteProperty(globalThis, 'AudioWorkletNode');
      Reflect.deleteProperty(globalThis, 'AudioWorklet');
      Reflect.deleteProperty(BaseAudioContext.prototype, 'audioWorklet');
    });
    await page.goto(`http://localhost:${(server.address() as AddressInfo).port}/`);
    await page.waitForURL(/fallback\.html/);
    await page.getByRole('button', { name: 'Listen' }).click();
    await page.waitForFunction(
      () => (document.querySelector('cliplead-bench') as Bench).session.readTelemetry().loudnessA > -60,
    );
    await page
      .getByText(/high latency/i)
      .first()
      .waitFor();
    const { state, failures } = await page.evaluate(() => {
      const { session } = document.querySelector('cliplead-bench') as Bench;
      return { state: session.state, failures: session.readTelemetry().failures };
    });
    expect(state.usesFallback).toBe(true);
    // Two buffers of 2048 frames at 44.1 kHz are 93 ms.
    expect(state.latency.engineMs).toBeGreaterThan(90);
    expect(failures).toBe(0);
  });
});
