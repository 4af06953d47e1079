import { difference, onBuiltPage, playbackStats } from './built-page.ts';
import { type ScriptTime, scriptTimePerFrame } from './script-time.ts';

/** The load and the dropouts of the built page while it played. */
export interface LiveRun {
  readonly seconds: number;
  readonly sampleRateHz: number;
  /** The oversampling that the page chose by measuring. */
  readonly factor: number;
  /** Mean fraction of the audio thread's time that was used during the run. */
  readonly load: number;
  /** The browser's own counts; undefined if it has none. */
  readonly underruns: number | undefined;
  readonly underrunSeconds: number | undefined;
  readonly failures: number;
  readonly resets: number;
  /** With the live waveform of a probed net open, and no moving knob. */
  readonly script: ScriptTime;
}

const SCRIPT_SECONDS = 5;

/**
 * Plays a recording through both builds of the built page for a while, with a moving knob and switches between A and B,
 * and reads the browser's playback statistics. Undefined if there is no browser.
 */
export async function runLive(seconds: number): Promise<LiveRun | undefined> {
  return onBuiltPage(async (page) => {
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
  });
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
