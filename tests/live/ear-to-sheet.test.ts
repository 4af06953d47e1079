import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { type Browser, chromium, type Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { buildIfStale, SITE } from '../../ui/production-build.mjs';
import { staticFiles } from '../../ui/static-files.mjs';
import { CHROMIUM_FLAGS, requireChromium } from '../chromium.mjs';
import { isPlaying, part } from '../journeys/page-parts.ts';
import { pageFaults } from '../print/page-faults.ts';
import { missingPoppler } from '../print/poppler.mjs';
import { printed } from '../print/printed-pages.ts';

/**
 * A build from the ear to the paper, as a person takes it: heard, swapped, tested blind, ordered, measured and printed. To look
 * at the pages: CLIPLEAD_PICTURES=FOLDER npm test -- unit tests/live/ear-to-sheet.test.ts
 */
const missing = missingPoppler();
if (missing !== undefined) console.log(missing);

/** For one step that hangs. */
const MOST_MS = 90_000;

const button = (page: Page, name: string | RegExp) =>
  page.getByRole('button', { name, exact: typeof name === 'string' });

async function fromMenu(page: Page, letter: 'A' | 'B', choice: string): Promise<void> {
  const bar = page.getByRole('group', { name: `Build ${letter}`, exact: true });
  await bar.locator('summary').click();
  await bar.locator(choice).click();
}

/** Hears both builds and gives an answer, right or not. */
async function testBlind(page: Page): Promise<void> {
  const panel = page.locator('blind-panel');
  await panel.getByLabel('trials').fill('1');
  await panel.getByLabel('trials').blur();
  // It waits for the level match and for the solver's estimate of its own error.
  await panel.getByRole('button', { name: 'Begin' }).click();
  await panel.getByRole('button', { name: 'X', exact: true }).click();
  await panel.getByRole('button', { name: 'X is B' }).click();
  await panel.getByRole('button', { name: 'Save text' }).waitFor();
}

async function fillDrawer(page: Page): Promise<void> {
  await button(page, 'Drawer…').click();
  for (const line of ['10x 10k 1% 0.25W metal film', '25 1N4148']) {
    await page.getByLabel('Line as on the bag').fill(line);
    await page.locator('drawer-dialog').getByRole('button', { name: 'Add', exact: true }).click();
  }
  await page.locator('drawer-dialog').getByRole('button', { name: 'Close' }).click();
}

describe.skipIf(missing !== undefined)('from ear to bench sheet', () => {
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

  it('a swap is heard, tested, ordered and measured, and stands on the paper', async () => {
    const page = await browser.newPage({ viewport: { width: 1440, height: 900 } });
    page.setDefaultTimeout(MOST_MS);
    const errors: string[] = [];
    page.on('pageerror', ({ message }) => errors.push(message));
    await page.addInitScript(() => localStorage.setItem('cliplead-welcomed', 'yes'));
    await page.goto(`http://localhost:${(server.address() as AddressInfo).port}/`);
    await page.locator('switch-panel button').first().waitFor();

    await fromMenu(page, 'A', '[data-preset="soft-asymmetric"]');
    await fromMenu(page, 'B', 'text="Copy of A"');
    await button(page, 'Listen').click();
    await isPlaying(page);
    await page.keyboard.press(' ', { delay: 100 });
    await part(page, 'C3').click();
    await page.keyboard.press('ArrowUp');
    await page.keyboard.press('ArrowUp');

    await button(page, 'By ear').click();
    await testBlind(page);
    await button(page, 'Bench').click();

    await button(page, 'Parts list').click();
    await fillDrawer(page);
    // Six places have 10 kΩ, and the drawer has ten.
    const row = page.locator('order-list tr').filter({ hasText: /×\s*10k resistor/ });
    await expect.poll(() => row.textContent(), { timeout: MOST_MS }).toMatch(/R3, R5, R8, R13, R15, R16/);

    const saved = page.waitForEvent('download');
    await fromMenu(page, 'B', 'text="Save B as a file"');
    const fileName = (await saved).suggestedFilename();

    await button(page, 'Hear build B').click();
    await button(page, 'Solder').click();
    await page.getByLabel('You read at bias, volts').fill('4.47');
    await page.getByLabel('You read at bias, volts').press('Tab');
    await page.getByText('This reading is what a sound board gives.').waitFor();
    await page.getByRole('tab', { name: 'Bench sheet' }).click();
    await page.locator('sheet-panel').getByRole('button', { name: 'Print' }).click();
    const frame = page.locator('iframe[title="Bench sheet"]');
    await frame.waitFor({ state: 'attached' });
    const sheet = await frame.evaluate((element) => (element as HTMLIFrameElement).srcdoc);
    expect(errors).toEqual([]);
    await page.close();

    const document = await printed(browser, sheet, 'ear-to-sheet');
    expect(pageFaults(document)).toEqual([]);
    const texts = document.texts.join('\n');
    const [swap] = /C3 47n to \d+n/.exec(texts) ?? [];
    expect(swap).toBeDefined();
    const value = swap!.split(' ').at(-1)!;
    expect(document.pages.length).toBeGreaterThanOrEqual(7);
    const lines = document.pages.flatMap((each) => each.lines.map(({ text }) => text));
    expect(lines).toContain(`File ${fileName}`);
    expect(lines).toContain(`Date ${new Date().toLocaleDateString('en-CA')}`);
    expect(lines.some((line) => line.includes(` ${value} film capacitor`) && line.includes('C3'))).toBe(true);
    expect(texts).toMatch(/\d\d:\d\d: C3 47n to/);
    expect(texts).toMatch(/blind test, ABX/);
  }, 600_000);
});
