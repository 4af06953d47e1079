import { readFileSync } from 'node:fs';
import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import path from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { SITE } from '../../ui/production-build.mjs';
import { responseHeaders } from '../../ui/response-headers.mjs';
import { staticFiles } from '../../ui/static-files.mjs';
import { WebDriver } from './web-driver.ts';

/**
 * The built page in WebKitGTK, used with clicks like a person's. It runs in the language "C", as on a system without
 * a language, which is not a language tag.
 */
const LANGUAGE = { LANG: 'C', LC_ALL: 'C', LANGUAGE: '' };
const COLLECT_ERRORS = `
  globalThis.errors = [];
  addEventListener('error', ({ message }) => errors.push(String(message)));
  addEventListener('unhandledrejection', ({ reason }) => errors.push(String(reason)));
`;
/** Finds elements inside shadow roots. */
const FIND = `
  const bench = document.querySelector('cliplead-bench');
  const find = (...selectors) => selectors.reduce((place, selector) => (place?.shadowRoot ?? place)?.querySelector(selector), bench);
`;
const SECONDS = 60;
const ARROW_UP = '\uE013';

/** The built site, with a script before its own that collects errors. */
function serveSite(): Promise<Server> {
  const site = staticFiles(SITE);
  const page = readFileSync(path.join(SITE, 'index.html'), 'utf8');
  const server = createServer((request, response) => {
    if (request.url === '/errors.js') {
      const headers = { ...responseHeaders('/errors.js'), 'Content-Type': 'text/javascript' };
      response.writeHead(200, headers).end(COLLECT_ERRORS);
    } else if (request.url === '/') {
      const headers = { ...responseHeaders('/index.html'), 'Content-Type': 'text/html' };
      response
        .writeHead(200, headers)
        .end(page.replace('<head>', '<head><script src="./errors.js"></script>'));
    } else site(request, response);
  });
  return new Promise((resolve) => server.listen(0, 'localhost', () => resolve(server)));
}

describe('the page in WebKitGTK', () => {
  let server: Server;
  let driver: WebDriver;

  beforeAll(async () => {
    server = await serveSite();
    driver = await WebDriver.start(LANGUAGE);
    console.log(driver.version);
    await driver.resize(1280, 900);
    await driver.open(`http://localhost:${(server.address() as AddressInfo).port}/`);
  });
  afterAll(async () => {
    await driver?.close();
    server?.close();
  });

  /** The value of an expression once it is neither false nor empty. */
  async function until<Result>(what: string, expression: string): Promise<Result> {
    const end = performance.now() + 1000 * SECONDS;
    for (;;) {
      const result = await driver.run<Result>(`${FIND} return ${expression};`);
      if (result) return result;
      if (performance.now() > end) {
        const errors = await driver.run('return errors.join("; ");');
        throw new Error(`in ${SECONDS} seconds: no ${what}; errors: ${errors}`);
      }
      await new Promise((resolve) => setTimeout(resolve, 100));
    }
  }

  /** A click in the middle of the element at the end of the selectors, from shadow root to shadow root. */
  async function click(what: string, ...selectors: string[]): Promise<void> {
    const target = `find(${selectors.map((each) => `'${each}'`).join(', ')})`;
    await until(what, `!!${target}`);
    const { left, top, width, height } = await driver.run<DOMRect>(
      `${FIND} ${target}.scrollIntoView({ block: 'nearest' }); return ${target}.getBoundingClientRect().toJSON();`,
    );
    await driver.click({ x: left + width / 2, y: top + height / 2 });
  }

  it('opens with the whole schematic', async () => {
    await until(
      'schematic',
      `bench?.shadowRoot && find('build-schematic')?.shadowRoot?.querySelectorAll('[data-ref]').length > 20`,
    );
  });

  it('plays after a click on Listen, without an error', async () => {
    await click('Listen button', 'output-panel', 'button.listen');
    await until('sound', 'bench.session.state.isRunning && bench.session.readTelemetry().outputPeak > 0.001');
    const {
      usesFallback,
      // A busy machine has some.
      problems: { dropouts: _, ...problems },
    } = await driver.run<{ usesFallback: boolean; problems: Record<string, string> }>(
      `${FIND} return bench.session.state;`,
    );
    expect([usesFallback, problems]).toEqual([false, {}]);
  });

  it('swaps the clicked part while it plays', async () => {
    const value = `bench.store.state.builds.a.parts.R4.value`;
    const before = await driver.run(`${FIND} return ${value};`);
    await click('R4 on the sheet', 'build-schematic', '[data-ref="R4"] .hit');
    await until('card of R4', `bench.store.state.selected === 'R4'`);
    await driver.press(ARROW_UP);
    await until('other value', `${value} !== '${before}'`);
    await driver.press(' ');
    await until('build B', `bench.store.state.heard === 'b'`);
    await until('sound', 'bench.session.readTelemetry().outputPeak > 0.001');
    const { failures, resets } = await driver.run<{ failures: number; resets: number }>(
      `${FIND} return bench.session.readTelemetry();`,
    );
    expect([failures, resets]).toEqual([0, 0]);
  });

  it('plots the response of both builds', async () => {
    await until('numbers', `find('plots-panel', 'plot-frame')?.view?.data.length >= 3`);
    await until('drawing', `find('plots-panel', 'plot-frame', 'canvas')?.width > 100`);
  });

  it('has had no error in these tests', async () => {
    expect(await driver.run('return errors;')).toEqual([]);
  });
});
