import { writeFileSync } from 'node:fs';
import path from 'node:path';
import { fileURLToPath } from 'node:url';
import { defaultReporter } from '@web/test-runner';
import { playwrightLauncher } from '@web/test-runner-playwright';
import { createServer } from 'vite';
import { CHROMIUM_FLAGS, requireChromium } from './tests/chromium.mjs';
import { firefoxLauncher } from './tests/firefox-launcher.mjs';
import { SITE } from './ui/production-build.mjs';
import { ISOLATION_HEADERS } from './ui/response-headers.mjs';
import { staticFiles } from './ui/static-files.mjs';

const PROJECT = path.dirname(fileURLToPath(import.meta.url));
/** Chromium makes an input up, which beeps, and lets the page have it without asking. */
const FAKE_INPUT = ['--use-fake-device-for-media-stream', '--use-fake-ui-for-media-stream'];
/** Where the built site stands on the test server. */
const SITE_PREFIX = '/site';
/** A page beside the site's, without a policy: for tests that load scripts of their own there. */
const EMPTY_PAGE = `${SITE_PREFIX}/no-such-page`;

const vite = await createServer({
  configFile: path.join(PROJECT, 'vite.config.ts'),
  root: PROJECT,
  // Apart from the dev server's, so that neither invalidates what the other has bundled.
  cacheDir: path.join(PROJECT, 'node_modules/.vite-tests'),
  appType: 'custom',
  logLevel: 'warn',
  server: { middlewareMode: true, hmr: false, ws: false },
  // Named ahead, since a dependency found while the tests run would reload their page.
  optimizeDeps: {
    entries: [],
    include: [
      'audioworklet-polyfill',
      'axe-core',
      'chai',
      'lit',
      'lit/decorators.js',
      'lit/directive-helpers.js',
      'lit/directive.js',
      'lit/directives/live.js',
      'tone/build/esm/core/context/Context.js',
      'tone/build/esm/core/context/GlobalContext.js',
      'tone/build/esm/core/context/ToneAudioBuffer.js',
      'tone/build/esm/core/context/ToneAudioNode.js',
      'tone/build/esm/source/buffer/Player.js',
      'uplot',
    ],
  },
});
const site = staticFiles(SITE);

/**
 * @typedef {NonNullable<import('@web/test-runner').TestRunnerConfig['middleware']>[number]} Middleware
 * @typedef {Parameters<Middleware>[0]} Context
 */

/**
 * Hands a request to what answers node requests, and waits for the answer.
 *
 * @param {Context} context
 * @param {(request: import('node:http').IncomingMessage, response: import('node:http').ServerResponse, next: (error?: unknown) => void) => unknown} answer
 */
function answered(context, answer) {
  context.respond = false;
  return new Promise((resolve, reject) => {
    context.res.once('close', resolve);
    context.res.statusCode = 200;
    Promise.resolve(
      answer(context.req, context.res, (error) => {
        if (error !== undefined) reject(error);
        else context.res.writeHead(404).end();
      }),
    ).catch(reject);
  });
}

/** @param {Context} context */
function belongsToRunner({ url }) {
  return url === '/' || url.startsWith('/?wtr-session') || url.startsWith('/__web-');
}

/** @type {import('node:http').RequestListener} */
function emptyPage(_request, response) {
  response.writeHead(200, { 'Content-Type': 'text/html' }).end('<!doctype html>');
}

/** @type {Middleware} */
function serve(context, next) {
  context.set(ISOLATION_HEADERS);
  if (belongsToRunner(context)) return next();
  if (context.url === EMPTY_PAGE) return answered(context, emptyPage);
  if (!context.url.startsWith(`${SITE_PREFIX}/`)) return answered(context, vite.middlewares);
  context.req.url = context.url.slice(SITE_PREFIX.length);
  return answered(context, site);
}

/**
 * Counts of a tree of suites.
 *
 * @param {import('@web/test-runner').TestSuiteResult} suite
 * @returns {{ passed: number, failed: number }}
 */
function countTests(suite) {
  const inner = suite.suites.map(countTests);
  const ran = suite.tests.filter((test) => !test.skipped);
  return {
    passed: inner.reduce((sum, { passed }) => sum + passed, ran.filter((test) => test.passed).length),
    failed: inner.reduce((sum, { failed }) => sum + failed, ran.filter((test) => !test.passed).length),
  };
}

/**
 * Writes `{ passed, failed }` for tests/run.mjs; a page that broke before its tests ran counts as failed.
 *
 * @param {string} file
 * @returns {import('@web/test-runner').Reporter}
 */
function countReporter(file) {
  return {
    onTestRunFinished({ sessions }) {
      const counts = { passed: 0, failed: 0 };
      for (const session of sessions) {
        const { passed, failed } = session.testResults
          ? countTests(session.testResults)
          : { passed: 0, failed: 0 };
        counts.passed += passed;
        counts.failed += session.passed || failed > 0 ? failed : 1;
      }
      writeFileSync(file, JSON.stringify(counts));
    },
  };
}

function chromiumLauncher() {
  return playwrightLauncher({
    product: 'chromium',
    launchOptions: { executablePath: requireChromium(), args: [...CHROMIUM_FLAGS, ...FAKE_INPUT] },
  });
}

const countsFile = process.env['CLIPLEAD_TEST_COUNTS'];
const isFirefox = process.env['CLIPLEAD_TEST_BROWSER'] === 'firefox';

/** @type {import('@web/test-runner').TestRunnerConfig} */
export default {
  rootDir: PROJECT,
  files: 'tests/browser/**/*.test.ts',
  // Contexts that run in real time must not compete for the processor.
  concurrency: 1,
  testsFinishTimeout: 180_000,
  testFramework: { config: { timeout: '20000' } },
  browsers: [isFirefox ? firefoxLauncher() : chromiumLauncher()],
  reporters: [defaultReporter(), ...(countsFile === undefined ? [] : [countReporter(countsFile)])],
  middleware: [serve],
  plugins: [{ name: 'cliplead:close-vite', serverStop: () => vite.close() }],
};
