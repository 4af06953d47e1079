import { execFileSync, spawn } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { fileURLToPath } from 'node:url';
import { buildIfStale } from '../ui/production-build.mjs';
import { requireChromium } from './chromium.mjs';
import { requireFirefox } from './firefox.mjs';
import { findPulseaudio, startNullSink } from './null-sink.mjs';
import { requireWebkit } from './webkit.mjs';

/**
 * `npm test` runs all tests, in Firefox only those that depend on the browser; `npm test -- unit` or another part's name
 * runs that part whole, and further arguments name the files to run. Chromium must be available. Firefox and WebKitGTK are
 * skipped, with a message, if they are missing and cannot be installed, unless their part is named or
 * `CLIPLEAD_NEED_FIREFOX` is set, as in `.ci/run`. The last lines name what failed and count all tests of all runners:
 * where a long log is cut, its end is kept.
 *
 * @typedef {{ passed: number, failed: number, failures: string[] }} Counts `failures`: a line for each.
 * @typedef {keyof typeof PARTS} Part
 */
const PROJECT = path.resolve(path.dirname(fileURLToPath(import.meta.url)), '..');
const PARTS = { unit: runUnitTests, browser: runInChromium, firefox: runInFirefox, webkit: runInWebkit };
const BROWSER_TESTS = 'tests/browser';
const CHROMIUM_IS_ENOUGH = [
  'accessibility',
  'blind-identity',
  'blind-test',
  'candidates',
  'capacitor-kind',
  'chains',
  'diode-capacitance',
  'ear-renders',
  'first-comparison',
  'level-match',
  'live-rate',
  'measured-parts',
  'newer-circuit',
  'noise-panel',
  'order-list',
  'part-groups',
  'part-pins',
  'plots',
  'schematic',
  'share',
  'solder-room',
  'spread',
  'switch-panel',
  'warnings',
];
const SCREEN = '--server-args=-screen 0 1440x1000x24';
const NO_VITEST_REPORT = { numPassedTests: 0, numFailedTests: 0, testResults: [] };
const USAGE = `usage: npm test [-- ${Object.keys(PARTS).join('|')} [FILE...]]`;

const require = createRequire(import.meta.url);
const workspace = mkdtempSync(path.join(tmpdir(), 'cliplead-tests-'));
process.on('exit', () => rmSync(workspace, { recursive: true, force: true }));

try {
  const [named, ...files] = process.argv.slice(2);
  // Before the first test, so that a missing browser is reported at once.
  const parts = named === undefined ? allParts() : [part(named)];
  /** @type {Counts} */
  const total = { passed: 0, failed: 0, failures: [] };
  for (const each of parts) {
    const startMs = performance.now();
    const chosen = named === undefined && each === 'firefox' ? filesForFirefox() : files;
    const { passed, failed, failures } = await PARTS[each](chosen).catch(reported);
    total.passed += passed;
    total.failed += failed;
    total.failures.push(...failures.map((failure) => `${each}: ${failure}`));
    const minutes = (performance.now() - startMs) / 60_000;
    console.log(`\n${each}: ${passed} passed, ${failed} failed, in ${minutes.toFixed(1)} minutes`);
  }
  if (total.failed > 0 || total.passed === 0) process.exitCode = 1;
  if (total.failures.length > 0) console.log(`\nFailed:\n${total.failures.join('\n')}`);
  console.log(`\n${total.passed} passed, ${total.failed} failed`);
} catch (error) {
  console.error(error instanceof Error ? error.message : error);
  process.exitCode = 1;
}

/**
 * @param {string} name
 * @returns {Part}
 */
function part(name) {
  if (!(name in PARTS)) throw new Error(USAGE);
  const known = /** @type {Part} */ (name);
  prepare(known);
  return known;
}

/** @returns {Part[]} The parts that can be run here. */
function allParts() {
  const needed = new Set(['unit', 'browser', ...(process.env['CLIPLEAD_NEED_FIREFOX'] ? ['firefox'] : [])]);
  return /** @type {Part[]} */ (Object.keys(PARTS)).filter((each) => {
    try {
      prepare(each);
      return true;
    } catch (error) {
      if (needed.has(each) || !(error instanceof Error)) throw error;
      console.log(`Left out: ${each}. ${error.message}`);
      return false;
    }
  });
}

/**
 * Finds or installs the browser of a part and prints its version. Throws an Error that says what to install.
 *
 * @param {Part} each
 */
function prepare(each) {
  if (each === 'browser') {
    process.env['CHROME_PATH'] = requireChromium();
    printVersion(process.env['CHROME_PATH']);
  } else if (each === 'firefox') {
    process.env['FIREFOX_PATH'] = requireFirefox();
    printVersion(process.env['FIREFOX_PATH']);
    findPulseaudio();
  } else if (each === 'webkit') {
    // Its driver reports the version once it runs.
    requireWebkit();
    findPulseaudio();
  }
}

/** @param {string} program */
function printVersion(program) {
  // On Windows the question opens a window.
  if (process.platform === 'win32') console.log(program);
  else console.log(execFileSync(program, ['--version'], { encoding: 'utf8' }).trim());
}

/**
 * @param {string[]} files
 * @returns {Promise<Counts>}
 */
function runUnitTests(files) {
  return runVitest([process.execPath], files);
}

/**
 * @param {string[]} files
 * @returns {Promise<Counts>}
 */
function runInChromium(files) {
  return runInBrowser('chromium', files);
}

/**
 * Files that run in Firefox when all tests run: those of sound, input, storage, files and page. What the others test is the
 * page's own code, which Chromium has run; `npm test -- firefox` runs them too.
 */
function filesForFirefox() {
  return readdirSync(path.join(PROJECT, BROWSER_TESTS))
    .filter((name) => name.endsWith('.test.ts') && !CHROMIUM_IS_ENOUGH.includes(name.replace('.test.ts', '')))
    .map((name) => `${BROWSER_TESTS}/${name}`);
}

/**
 * @param {string[]} files
 * @returns {Promise<Counts>}
 */
async function runInFirefox(files) {
  const endSink = await startNullSink();
  return runInBrowser('firefox', files).finally(endSink);
}

/**
 * @param {string[]} files
 * @returns {Promise<Counts>}
 */
async function runInWebkit(files) {
  await buildIfStale();
  const endSink = await startNullSink();
  // With its own screen and session bus.
  const surroundings = ['xvfb-run', '--auto-servernum', SCREEN, 'dbus-run-session', '--', process.execPath];
  return runVitest(surroundings, ['--config', 'tests/webkit/vitest.config.ts', ...files]).finally(endSink);
}

/**
 * @param {string[]} node Command that runs a script with node.
 * @param {string[]} options Options and files.
 * @returns {Promise<Counts>}
 */
async function runVitest(node, options) {
  const report = path.join(workspace, 'vitest.json');
  rmSync(report, { force: true });
  const vitest = fileInPackage('vitest', 'vitest.mjs');
  const reporters = ['--reporter=default', '--reporter=json', `--outputFile.json=${report}`];
  const code = await run([...node, vitest, 'run', ...options, ...reporters]);
  const { numPassedTests, numFailedTests, testResults } = readJson(report) ?? NO_VITEST_REPORT;
  return counted(
    { passed: numPassedTests, failed: numFailedTests, failures: testResults.flatMap(vitestFailures) },
    code,
  );
}

/**
 * @param {{ name: string, message: string, assertionResults: { fullName: string, status: string, failureMessages: string[] }[] }} file
 * @returns {string[]} What failed in a file of tests, with the first line of the reason.
 */
function vitestFailures({ name, message, assertionResults }) {
  const shown = path.relative(PROJECT, name);
  const failed = assertionResults.filter(({ status }) => status === 'failed');
  if (failed.length === 0 && message !== '') return [`${shown}: ${firstLine(message)}`];
  return failed.map(
    ({ fullName, failureMessages }) => `${shown}: ${fullName}: ${firstLine(failureMessages[0] ?? '')}`,
  );
}

/** @param {string} text */
function firstLine(text) {
  return text.split('\n', 1)[0] ?? '';
}

/**
 * @param {'chromium' | 'firefox'} browser
 * @param {string[]} files
 * @returns {Promise<Counts>}
 */
async function runInBrowser(browser, files) {
  await buildIfStale();
  const report = path.join(workspace, `${browser}.json`);
  process.env['CLIPLEAD_TEST_COUNTS'] = report;
  process.env['CLIPLEAD_TEST_BROWSER'] = browser;
  const runner = fileInPackage('@web/test-runner', 'dist/bin.js');
  const code = await run([process.execPath, runner, ...files]);
  return counted(readJson(report) ?? { passed: 0, failed: 0, failures: [] }, code);
}

/**
 * A runner that did not start its tests also counts as one failure.
 *
 * @param {unknown} error
 * @returns {Counts}
 */
function reported(error) {
  const message = error instanceof Error ? error.message : String(error);
  console.error(message);
  return { passed: 0, failed: 1, failures: [firstLine(message)] };
}

/**
 * A runner that fails for another reason than a failed test (a file that does not load, an unhandled
 * rejection) counts as one failure.
 *
 * @param {Counts} counts
 * @param {number} code Exit code of the runner.
 * @returns {Counts}
 */
function counted({ passed, failed, failures }, code) {
  if (code === 0 || failed > 0) return { passed, failed, failures };
  return { passed, failed: 1, failures: [...failures, `the runner ended with ${code}`] };
}

/**
 * Runs a program to its end and returns its exit code.
 *
 * @param {string[]} command
 * @returns {Promise<number>}
 */
function run([program = '', ...options]) {
  return new Promise((resolve, reject) => {
    const child = spawn(program, options, { cwd: PROJECT, stdio: ['ignore', 'inherit', 'inherit'] });
    child.on('error', reject);
    child.on('exit', (code) => resolve(code ?? 1));
  });
}

/**
 * @param {string} name Name of a package.
 * @param {string} file File in it, which its `exports` may hide.
 */
function fileInPackage(name, file) {
  const folders = require.resolve.paths(name) ?? [];
  const folder = folders.find((candidate) => readJson(path.join(candidate, name, 'package.json')) !== null);
  if (folder === undefined) throw new Error(`${name} is not installed: run npm ci first.`);
  return path.join(folder, name, file);
}

/** @param {string} file */
function readJson(file) {
  try {
    return JSON.parse(readFileSync(file, 'utf8'));
  } catch {
    return null;
  }
}
