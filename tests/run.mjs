import { spawn } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { fileURLToPath } from 'node:url';
import { buildIfStale } from '../ui/production-build.mjs';
import { requireChromium } from './chromium.mjs';

/**
 * `npm test` runs all tests; `npm test -- unit` or `npm test -- browser` runs one part, and further
 * arguments name the files to run. The last line counts all tests of both runners.
 *
 * @typedef {{ passed: number, failed: number }} Counts
 */
const PROJECT = path.resolve(path.dirname(fileURLToPath(import.meta.url)), '..');
const PARTS = { unit: runUnitTests, browser: runBrowserTests };
const USAGE = 'usage: npm test [-- unit|browser [FILE...]]';

const require = createRequire(import.meta.url);
const workspace = mkdtempSync(path.join(tmpdir(), 'cliplead-tests-'));
process.on('exit', () => rmSync(workspace, { recursive: true, force: true }));

try {
  const [part, ...files] = process.argv.slice(2);
  const runs = part === undefined ? Object.values(PARTS) : [chosen(part)];
  // Before the first test, so that a missing browser is known at once.
  if (runs.includes(runBrowserTests)) process.env['CHROME_PATH'] = requireChromium();
  const total = { passed: 0, failed: 0 };
  for (const run of runs) {
    const { passed, failed } = await run(files);
    total.passed += passed;
    total.failed += failed;
  }
  if (total.failed > 0 || total.passed === 0) process.exitCode = 1;
  console.log(`\n${total.passed} passed, ${total.failed} failed`);
} catch (error) {
  console.error(error instanceof Error ? error.message : error);
  process.exitCode = 1;
}

/** @param {string} part */
function chosen(part) {
  if (part === 'unit' || part === 'browser') return PARTS[part];
  throw new Error(USAGE);
}

/**
 * @param {string[]} files
 * @returns {Promise<Counts>}
 */
async function runUnitTests(files) {
  const report = path.join(workspace, 'unit.json');
  const vitest = fileInPackage('vitest', 'vitest.mjs');
  const code = await run([
    vitest,
    'run',
    ...files,
    '--reporter=default',
    '--reporter=json',
    `--outputFile.json=${report}`,
  ]);
  const { numPassedTests, numFailedTests } = readJson(report) ?? { numPassedTests: 0, numFailedTests: 0 };
  return counted({ passed: numPassedTests, failed: numFailedTests }, code);
}

/**
 * @param {string[]} files
 * @returns {Promise<Counts>}
 */
async function runBrowserTests(files) {
  await buildIfStale();
  const report = path.join(workspace, 'browser.json');
  process.env['CLIPLEAD_TEST_COUNTS'] = report;
  const runner = fileInPackage('@web/test-runner', 'dist/bin.js');
  const code = await run([runner, ...files]);
  return counted(readJson(report) ?? { passed: 0, failed: 0 }, code);
}

/**
 * A runner that fails for another reason than a failed test (a file that does not load, an unhandled
 * rejection) counts as one failure.
 *
 * @param {Counts} counts
 * @param {number} code Exit code of the runner.
 * @returns {Counts}
 */
function counted({ passed, failed }, code) {
  return { passed, failed: code !== 0 && failed === 0 ? 1 : failed };
}

/**
 * Runs a script of node's to its end and returns its exit code.
 *
 * @param {string[]} command
 * @returns {Promise<number>}
 */
function run(command) {
  return new Promise((resolve, reject) => {
    const child = spawn(process.execPath, command, { cwd: PROJECT, stdio: ['ignore', 'inherit', 'inherit'] });
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
