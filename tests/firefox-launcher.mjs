import { launchFirefox, requireFirefox } from './firefox.mjs';

const VIEWPORT = { width: 800, height: 600 };

/**
 * Runs the files of web-test-runner in Firefox, each in a separate container, so that none sees the stored data of
 * another.
 *
 * @returns {import('@web/test-runner').BrowserLauncher}
 */
export function firefoxLauncher() {
  /** @type {ReturnType<typeof launchFirefox> | undefined} */
  let browser;
  /** @type {Map<string, { context: import('puppeteer-core').BrowserContext, page: import('puppeteer-core').Page }>} */
  const open = new Map();
  return {
    name: 'Firefox',
    type: 'puppeteer',
    async stop() {
      await (await browser)?.close();
    },
    async startSession(id, url) {
      browser ??= launchFirefox(requireFirefox());
      const context = await (await browser).createBrowserContext();
      const page = await context.newPage();
      open.set(id, { context, page });
      await page.setViewport(VIEWPORT);
      await page.goto(url).catch((error) => {
        // A short test may end, and its page be closed, before the page has loaded completely.
        if (open.has(id)) throw error;
      });
    },
    isActive: (id) => open.has(id),
    getBrowserUrl: (id) => open.get(id)?.page.url(),
    async stopSession(id) {
      const session = open.get(id);
      open.delete(id);
      await session?.context.close();
      return {};
    },
    async startDebugSession() {
      throw new Error('Pages are not kept open in Firefox: open the address by hand.');
    },
  };
}
