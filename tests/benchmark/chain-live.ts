import type { Page } from 'playwright-core';
import { serialiseChain } from '../../engine/builds/chain-file.ts';
import { type LiveRate, type MeasuredShares, rateSentence } from '../../ui/rate/live-rate.ts';
import { difference, onBuiltPage, playbackStats, putOn } from './built-page.ts';
import { type ChainCase, chainOf } from './chain-benchmark.ts';

/** How the built page plays a chain case in a real browser. */
export interface ChainLive {
  readonly sides: string;
  /** The oversampling that the page chose by measuring, and what it says about it. */
  readonly factor: number;
  readonly sentence: string;
  /** Measured share of the time on music at each factor that was tried. */
  readonly shares: MeasuredShares;
  /** Mean load of the audio thread while it played. */
  readonly load: number;
  /** Gaps in the sound while it played, and while a pedal was switched off and on; undefined if the browser does not count them. */
  readonly underruns: number | undefined;
  readonly underrunsInFades: number | undefined;
}

const PLAYED_SECONDS = 6;
const SWITCHINGS = 4;
const MEASURED_WITHIN_MS = 60_000;

/** Plays each case on the built page, one after another. Undefined if there is no browser. */
export async function chainsLive(cases: readonly ChainCase[]): Promise<readonly ChainLive[] | undefined> {
  const lives: ChainLive[] = [];
  for (const each of cases) {
    const live = await onBuiltPage((page) => playCase(page, each));
    if (!live) return undefined;
    lives.push(live);
  }
  return lives;
}

async function playCase(page: Page, { name, a, b }: ChainCase): Promise<ChainLive> {
  await putOn(page, 'A', fileOf(a, false));
  await putOn(page, 'B', fileOf(b, true));
  await page.waitForFunction(hasPedals, [a.length, b.length]);
  await page.getByRole('button', { name: 'Listen' }).click();
  await page.waitForFunction(isExplained, undefined, { timeout: MEASURED_WITHIN_MS });
  await page.waitForTimeout(2000);
  const before = await page.evaluate(playbackStats);
  const loads: number[] = [];
  for (let second = 0; second < PLAYED_SECONDS; second++) {
    await page.waitForTimeout(1000);
    loads.push(await page.evaluate(load));
  }
  const played = await page.evaluate(playbackStats);
  for (let time = 0; time < SWITCHINGS; time++) {
    await page.keyboard.press('7');
    await page.waitForTimeout(1000);
  }
  const switched = await page.evaluate(playbackStats);
  const rate = await page.evaluate(rateNow);
  return {
    sides: name,
    factor: rate.factor,
    sentence: rateSentence(rate),
    shares: rate.reason.kind === 'measured' ? rate.reason.shares : {},
    load: loads.reduce((sum, each) => sum + each, 0) / loads.length,
    underruns: difference(played.underrunEvents, before.underrunEvents),
    underrunsInFades: difference(switched.underrunEvents, played.underrunEvents),
  };
}

const fileOf = (names: readonly string[], isTurned: boolean): string =>
  serialiseChain({ title: names.join(', '), chain: chainOf(names, isTurned) });

interface Bench extends HTMLElement {
  readonly session: {
    readTelemetry(): { readonly load: number };
    readonly state: { readonly rate: LiveRate };
  };
  readonly store: {
    readonly state: {
      readonly places: Readonly<
        Record<'a' | 'b', { readonly before: readonly object[]; readonly after: readonly object[] }>
      >;
    };
  };
}

/** Runs in the page. */
function hasPedals(counts: readonly number[]): boolean {
  const { places } = (document.querySelector('cliplead-bench') as Bench).store.state;
  return [places.a, places.b].every(
    ({ before, after }, side) => 1 + before.length + after.length === counts[side],
  );
}

/** Runs in the page. */
function isExplained(): boolean {
  const { factor, reason } = (document.querySelector('cliplead-bench') as Bench).session.state.rate;
  return (
    reason.kind !== 'unmeasured' &&
    (reason.kind !== 'measured' || factor === 16 || reason.cause !== undefined)
  );
}

/** Runs in the page. */
function load(): number {
  return (document.querySelector('cliplead-bench') as Bench).session.readTelemetry().load;
}

/** Runs in the page. */
function rateNow(): LiveRate {
  return (document.querySelector('cliplead-bench') as Bench).session.state.rate;
}
