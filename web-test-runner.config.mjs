import { mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { fileURLToPath } from 'node:url';
import { defaultReporter } from '@web/test-runner';
import { playwrightLauncher } from '@web/test-runner-playwright';
import { build } from 'vite';
import { CHROMIUM_FLAGS, requireChromium } from './tests/chromium.mjs';
import { firefoxLauncher } from './tests/firefox-launcher.mjs';
import { SITE } from './ui/production-build.mjs';
import { ISOLATION_HEADERS } from './ui/response-headers.mjs';
import { staticFiles } from './ui/static-files.mjs';

const PROJECT = path.dirname(fileURLToPath(import.meta.url));
/** Chromium makes an input up, which beeps, and lets the page have it without asking. */
const FAKE_INPUT = ['--use-fake-device-for-media-stream', '--use-fake-ui-for-media-stream'];
const TESTS = 'tests/browser';
/** The styles of the page, all in this file of the bundle. */
const STYLES = 'style.css';
/** Where the built site stands on the test server. */
const SITE_PREFIX = '/site';
/** A page beside the site's, without a policy: for tests that load scripts of their own there. */
const EMPTY_PAGE = `${SITE_PREFIX}/no-such-page`;

// Bundled once, since a page of tests would otherwise load hundreds of modules one by one, which takes seconds.
const bundle = mkdtempSync(path.join(tmpdir(), 'cliplead-browser-tests-'));
process.on('exit', () => rmSync(bundle, { recursive: true, force: true }));
await build({
  configFile: path.join(PROJECT, 'vite.config.ts'),
  root: PROJECT,
  plugins: [moduleAddresses()],
  publicDir: false,
  logLevel: 'warn',
  build: {
    outDir: bundle,
    cssCodeSplit: false,
    // Failures are read by their line.
    minify: false,
    // In files of their own, which only a failure loads: within the scripts they are two thirds of what each page reads.
    sourcemap: true,
    chunkSizeWarningLimit: Number.POSITIVE_INFINITY,
    rollupOptions: {
      input: Object.fromEntries(
        testFiles().map((file) => [file.replace(/\.ts$/, ''), path.join(PROJECT, file)]),
      ),
      output: {
        entryFileNames: '[name].js',
        assetFileNames: ({ names }) => (names.includes(STYLES) ? STYLES : 'assets/[name]-[hash][extname]'),
      },
    },
  },
});
const tests = staticFiles(bundle);
const site = staticFiles(SITE);

/**
 * Answers `import url from './x.ts?url'` with the address of a module that can be loaded: in a build vite would hand out
 * the text of the file.
 *
 * @returns {import('vite').Plugin}
 */
function moduleAddresses() {
  return {
    name: 'cliplead:module-addresses',
    enforce: 'pre',
    async resolveId(source, importer) {
      if (!source.endsWith('.ts?url')) return null;
      const module = await this.resolve(source.slice(0, -'?url'.length), importer, { skipSelf: true });
      return module === null ? null : `${module.id}?module-address`;
    },
    load(id) {
      if (!id.endsWith('?module-address')) return null;
      const module = id.slice(0, -'?module-address'.length);
      // With the names of its exports, which the page that loads it uses.
      const chunk = this.emitFile({ type: 'chunk', id: module, preserveSignature: 'strict' });
      return `export default import.meta.ROLLUP_FILE_URL_${chunk};`;
    },
  };
}

function testFiles() {
  return readdirSync(path.join(PROJECT, TESTS))
    .filter((name) => name.endsWith('.test.ts'))
    .map((name) => `${TESTS}/${name}`);
}

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
  if (!context.url.startsWith(`${SITE_PREFIX}/`)) {
    context.req.url = context.url.replace(/\.test\.ts(?=$|\?)/, '.test.js');
    return answered(context, tests);
  }
  context.req.url = context.url.slice(SITE_PREFIX.length);
  return answered(context, site);
}

/**
 * @param {import('@web/test-runner').TestSuiteResult} suite
 * @param {string} path Names of the suites around it.
 * @returns {{ passed: number, failures: string[] }} `failures`: name and message of each test that failed.
 */
function countTests(suite, path = '') {
  const inner = suite.suites.map((each) => countTests(each, `${path}${each.name} `));
  const ran = suite.tests.filter((test) => !test.skipped);
  const failed = ran.filter((test) => !test.passed);
  return {
    passed: inner.reduce((sum, { passed }) => sum + passed, ran.length - failed.length),
    failures: [
      ...failed.map(({ name, error }) => `${path}${name}: ${error?.message.split('\n', 1)[0] ?? ''}`),
      ...inner.flatMap(({ failures }) => failures),
    ],
  };
}

/**
 * Writes `{ passed, failed, failures }` for tests/run.mjs; a page that broke before its tests ran counts as failed.
 *
 * @param {string} file
 * @returns {import('@web/test-runner').Reporter}
 */
function countReporter(file) {
  return {
    onTestRunFinished({ sessions }) {
      const total = { passed: 0, failures: /** @type {string[]} */ ([]) };
      for (const { testFile, testResults, passed: isWhole } of sessions) {
        const { passed, failures } = testResults ? countTests(testResults) : { passed: 0, failures: [] };
        total.passed += passed;
        if (!isWhole && failures.length === 0) failures.push('the page broke');
        const shown = path.relative(PROJECT, testFile ?? '');
        total.failures.push(...failures.map((failure) => `${shown}: ${failure}`));
      }
      writeFileSync(file, JSON.stringify({ ...total, failed: total.failures.length }));
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
  files: `${TESTS}/*.test.ts`,
  // Contexts that run in real time must not compete for the processor.
  concurrency: 1,
  testsFinishTimeout: 600_000,
  testRunnerHtml: (framework) => `<!doctype html>
    <html lang="en">
      <head><link rel="stylesheet" href="/${STYLES}"></head>
      <body><script type="module" src="${framework}"></script></body>
    </html>`,
  // A bound for what hangs, as of vitest; a wait within a test ends before it and says for what.
  testFramework: { config: { timeout: '180000' } },
  browsers: [isFirefox ? firefoxLauncher() : chromiumLauncher()],
  reporters: [defaultReporter(), ...(countsFile === undefined ? [] : [countReporter(countsFile)])],
  middleware: [serve],
};
