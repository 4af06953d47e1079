import type { Locator, Page } from 'playwright-core';

/** The place of a part on the sheet. */
export function part(page: Page, ref: string): Locator {
  return page.locator(`build-schematic [data-ref="${ref}"] .hit`);
}

/** Resolves when sound runs. */
export async function isPlaying(page: Page): Promise<void> {
  await page.waitForFunction(() => {
    const bench = document.querySelector('cliplead-bench') as unknown as {
      session: { state: { isRunning: boolean } };
    };
    return bench.session.state.isRunning;
  });
}

/** The messages at the top of the page. */
export async function messages(page: Page): Promise<readonly string[]> {
  return (await page.locator('.notice').allInnerTexts()).map((text) => text.trim());
}
