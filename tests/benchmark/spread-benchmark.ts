import type { Page } from 'playwright-core';
import { type AskSpread, spreadBuilds, USUAL_COUNT } from '../../engine/analysis/spread-report.ts';
import { doSpreadTask } from '../../engine/analysis/spread-tasks.ts';
import { USUAL_SEED } from '../../engine/builds/parts-set.ts';
import { presetText } from '../../engine/cli/preset-files.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import { presetBuild } from '../preset-build.ts';
import { onBuiltPage } from './built-page.ts';
import { dropFile, isReady } from './chain-live.ts';

/** Processor time of a preset's spread, all in one thread, s. */
export interface SpreadCost {
  readonly preset: string;
  readonly buildsS: number;
  /** Bands, causes, and the two most different builds. */
  readonly figuresS: number;
  /** One clipping level. */
  readonly clippingS: number;
}

/** Clipping levels that are timed. */
const CLIPPING_COUNT = 5;
const PAGE_LIMIT_MS = 120_000;

export async function spreadCost(preset: string): Promise<SpreadCost> {
  const spentS: Record<string, number> = {};
  const ask: AskSpread = (task) => {
    const before = process.cpuUsage();
    const answer = doSpreadTask(task);
    const { user, system } = process.cpuUsage(before);
    spentS[task.kind] = (spentS[task.kind] ?? 0) + (user + system) / 1e6;
    return Promise.resolve(answer as never);
  };
  const temperatureK = { low: NOMINAL_TEMPERATURE_K, high: NOMINAL_TEMPERATURE_K };
  const settings = {
    build: presetBuild(preset),
    around: {},
    temperatureK,
    seed: USUAL_SEED,
    tolerances: {},
  };
  const plan = { settings, count: USUAL_COUNT, clippingCount: CLIPPING_COUNT };
  await spreadBuilds(plan, { ask, nowMs: () => performance.now(), onChange: () => {} });
  return {
    preset,
    buildsS: (spentS['start'] ?? 0) + (spentS['chunk'] ?? 0),
    figuresS: spentS['summary'] ?? 0,
    clippingS: (spentS['clipping'] ?? 0) / CLIPPING_COUNT,
  };
}

/** What the built page says that all builds of a preset took, with a worker for each core. Undefined if there is no browser. */
export function spreadsOnPage(presets: readonly string[]): Promise<readonly string[] | undefined> {
  return onBuiltPage(async (page) => {
    await page.evaluate(() => localStorage.setItem('cliplead-welcomed', 'yes'));
    await page.reload();
    await page.waitForFunction(isReady);
    const said: string[] = [];
    for (const preset of presets) said.push(await spreadOnPage(page, presetText(preset)!));
    return said;
  });
}

async function spreadOnPage(page: Page, text: string): Promise<string> {
  await page.evaluate(dropFile, { text, x: 10 });
  await page.getByRole('button', { name: 'Spread…' }).click();
  const dialog = page.locator('spread-dialog');
  await dialog.getByRole('button', { name: 'Compute A' }).click();
  const status = dialog.getByRole('status');
  await status.getByText(/builds in [\d.]+ s/).waitFor({ timeout: PAGE_LIMIT_MS });
  const [, seconds] = /builds in ([\d.]+) s/.exec((await status.textContent()) ?? '') ?? [];
  await dialog.getByRole('button', { name: 'Cancel' }).click();
  await dialog.getByRole('button', { name: 'Close' }).click();
  return seconds ?? '';
}
