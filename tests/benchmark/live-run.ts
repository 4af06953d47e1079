import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { chromium } from 'playwright-core';
import { buildIfStale, SITE } from '../../ui/production-build.mjs';
import { staticFiles } from '../../ui/static-files.mjs';
import { CHROMIUM_FLAGS, installedChromium } from '../chromium.mjs';
import { type ScriptTime, scriptTimePerFrame } from './script-time.ts';

/** How the built page held up while it played. */
export interface LiveRun {
  readonly seconds: number;
  readonly sampleRateHz: number;
  /** Oversampling that was chosen by measuring. */
  readonly factor: number;
  /** Mean share of the audio thread's time over the run. */
  readonly load: number;
  /** As the browser counts them; undefined where it does not. */
  readonly underruns: number | undefined;
  readonly underrunSeconds: number | undefined;
  readonly failures: number;
  readonly resets: number;
  /** With the live waveform of a probed net open, no knob turning. */
  readonly script: ScriptTime;
}

const SCRIPT_SECONDS = 5;

interface PlaybackStats {
  readonly underrunEvents?: number;
  readonly underrunDuration?: number;
}

/**
 * Plays a recording through both builds of the built page for a while, a knob turning and A and B switching, and
 * reads what the browser says of its playback. Undefined where there is no browser.
 */
export async function runLive(seconds: number): Promise<LiveRun | undefined> {
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
    await page.getByRole('button', { name: 'Listen' }).click();
    await page.waitForFunction(isRateMeasured, undefined, { timeout: 60_000 });
    await page.waitForTimeout(2000);
    const before = await page.evaluate(playbackStats);
    const loads: number[] = [];
    const gain = page.getByRole('slider', { name: 'gain of build A' });
    for (let second = 0; second < seconds; second++) {
      await page.keyboard.press('Space');
      await gain.press(second % 20 < 10 ? 'ArrowRight' : 'ArrowLeft');
      await page.waitForTimeout(1000);
      loads.push((await page.evaluate(telemetry)).load);
    }
    const after = await page.evaluate(playbackStats);
    const { failures, resets, sampleRateHz, factor } = await page.evaluate(telemetry);
    await page.getByLabel('Probe').selectOption('clipped');
    await page.getByRole('tab', { name: 'Waveform' }).click();
    await page.getByRole('radio', { name: 'Live' }).click();
    await page.waitForTimeout(1000);
    const script = await scriptTimePerFrame(page, SCRIPT_SECONDS);
    return {
      seconds,
      sampleRateHz,
      factor,
      load: loads.reduce((sum, load) => sum + load, 0) / loads.length,
      underruns: difference(after.underrunEvents, before.underrunEvents),
      underrunSeconds: difference(after.underrunDuration, before.underrunDuration),
      failures,
      resets,
      script,
    };
  } finally {
    await browser.close();
    server.close();
  }
}

function difference(after: number | undefined, before: number | undefined): number | undefined {
  return after === undefined || before === undefined ? undefined : after - before;
}

/** Runs in the page. */
function playbackStats(): PlaybackStats {
  const context = Reflect.get(globalThis, 'heardContext') as { playbackStats?: PlaybackStats };
  const stats = context.playbackStats;
  return {
    ...(stats?.underrunEvents === undefined ? {} : { underrunEvents: stats.underrunEvents }),
    ...(stats?.underrunDuration === undefined ? {} : { underrunDuration: stats.underrunDuration }),
  };
}

interface Session {
  readTelemetry(): { load: number; failures: number; resets: number };
  readonly state: {
    readonly sampleRateHz: number;
    readonly rate: { readonly factor: number; readonly reason: { readonly kind: string } };
  };
}

/** Runs in the page. */
function isRateMeasured(): boolean {
  const { session } = document.querySelector('cliplead-bench') as unknown as { session: Session };
  return session.state.rate.reason.kind !== 'unmeasured';
}

/** Runs in the page. */
function telemetry(): ReturnType<Session['readTelemetry']> & { sampleRateHz: number; factor: number } {
  const { session } = document.querySelector('cliplead-bench') as unknown as { session: Session };
  const { sampleRateHz, rate } = session.state;
  return { ...session.readTelemetry(), sampleRateHz, factor: rate.factor };
}
