import type { Page } from 'playwright-core';
import { serialiseBuild } from '../../engine/builds/build-file.ts';
import { presetBuild } from '../preset-build.ts';
import { onBuiltPage, putOn } from './built-page.ts';

/** Time of a preset's spread on the built page. */
export interface SpreadLive {
  readonly preset: string;
  /** From the click until the figures of all builds are there, as the page says it, s. */
  readonly pageS: number;
}

const WITHIN_MS = 120_000;

/** On one page, silent, one preset after another: the first also waits for the browser to compile. Undefined if there is no browser. */
export function spreadsLive(presets: readonly string[]): Promise<readonly SpreadLive[] | undefined> {
  return onBuiltPage(async (page) => {
    const lives: SpreadLive[] = [];
    for (const preset of presets) lives.push({ preset, pageS: await pageSeconds(page, preset) });
    return lives;
  });
}

async function pageSeconds(page: Page, preset: string): Promise<number> {
  const file = serialiseBuild(presetBuild(preset));
  for (const side of ['A', 'B'] as const) await putOn(page, side, file);
  await page.getByRole('button', { name: 'Spread…' }).click();
  // The page computes the loudness of new builds meanwhile.
  await page.waitForTimeout(8000);
  await page.getByRole('button', { name: 'Compute A' }).click();
  const done = page.getByText(/10,000 builds in [\d.]+ s/);
  await done.waitFor({ timeout: WITHIN_MS });
  const [, seconds] = /builds in ([\d.]+) s/.exec((await done.textContent()) ?? '') ?? [];
  // The clipping levels are left out.
  await page.getByRole('button', { name: 'Cancel' }).click();
  await page.getByRole('dialog').getByRole('button', { name: 'Close' }).click();
  return Number(seconds);
}
