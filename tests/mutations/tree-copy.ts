import { type ChildProcess, spawn } from 'node:child_process';
import { cpSync, mkdtempSync, readFileSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { mutated, type SignMutation } from './sign-mutations.ts';

export interface Verdict {
  /** File and name of the first test that failed, or the other error; undefined if all passed. */
  readonly caughtBy: string | undefined;
  readonly seconds: number;
}

interface TestRun extends Verdict {
  /** Seconds of each test file that was run, by its path from the root of the tree. */
  readonly secondsOf: ReadonlyMap<string, number>;
}

const COPIED = ['engine', 'worklets', 'ui', 'presets', 'tests', 'package.json'];
const LINKED = 'node_modules';
/** For tests whose time is not known. */
const LONGEST_S = 1800;

/** A copy of the project in a temporary folder, in which one sign at a time is flipped and tests are run. */
export class TreeCopy {
  readonly #directory: string;
  #running: ChildProcess | undefined;

  constructor(root: URL) {
    this.#directory = mkdtempSync(join(tmpdir(), 'cliplead-mutations-'));
    for (const name of COPIED) {
      cpSync(new URL(name, root), join(this.#directory, name), { recursive: true });
    }
    symlinkSync(fileURLToPath(new URL(LINKED, root)), join(this.#directory, LINKED));
  }

  /** Stops the running tests, if there are any. */
  remove(): void {
    end(this.#running);
    rmSync(this.#directory, { recursive: true, force: true, maxRetries: 5 });
  }

  /** Runs the tests with one sign flipped, and restores the sign. */
  async tryOut(
    { file, source, mutation }: { file: string; source: string; mutation: SignMutation },
    tests: readonly string[],
    longestS: number,
  ): Promise<Verdict> {
    const path = join(this.#directory, file);
    writeFileSync(path, mutated(source, mutation));
    try {
      return await this.run(tests, longestS);
    } finally {
      writeFileSync(path, source);
    }
  }

  /**
   * Runs tests in the order given until one fails. What takes longer than `longestS` is ended and counts as failed: a
   * flipped sign may cause an endless loop.
   */
  async run(tests: readonly string[], longestS = LONGEST_S): Promise<TestRun> {
    const start = performance.now();
    const report = join(this.#directory, 'report.json');
    rmSync(report, { force: true });
    writeFileSync(join(this.#directory, 'vitest.config.ts'), configuration([...new Set(tests)]));
    const { hasTimedOut, said } = await this.#vitest(longestS);
    const seconds = (performance.now() - start) / 1000;
    if (hasTimedOut)
      return { caughtBy: `the time of ${longestS.toFixed(0)} s`, seconds, secondsOf: new Map() };
    try {
      const results: Report = JSON.parse(readFileSync(report, 'utf8'));
      return { caughtBy: firstFailure(results), seconds, secondsOf: secondsOfFiles(results, tests) };
    } catch (problem) {
      throw new Error(`vitest left no report (${problem}):\n${said}`);
    }
  }

  #vitest(longestS: number): Promise<{ hasTimedOut: boolean; said: string }> {
    const vitest = join(this.#directory, LINKED, 'vitest/vitest.mjs');
    return new Promise((resolve, reject) => {
      // In its own process group: a worker in an endless loop would outlive the process that started it.
      const child = spawn(process.execPath, [vitest, 'run'], { cwd: this.#directory, detached: true });
      this.#running = child;
      let said = '';
      for (const stream of [child.stdout, child.stderr]) stream.on('data', (text) => (said += text));
      let hasTimedOut = false;
      const timer = setTimeout(() => {
        hasTimedOut = true;
        end(child);
      }, 1000 * longestS);
      child.once('error', reject);
      child.once('close', () => {
        clearTimeout(timer);
        this.#running = undefined;
        resolve({ hasTimedOut, said });
      });
    });
  }
}

function end(child: ChildProcess | undefined): void {
  if (child?.pid === undefined) return;
  try {
    process.kill(-child.pid, 'SIGKILL');
  } catch {
    // The process has ended by itself.
  }
}

interface Report {
  readonly success: boolean;
  readonly testResults: readonly {
    readonly name: string;
    readonly status: string;
    readonly message: string;
    /** Of the first and the last test in it, ms. */
    readonly startTime: number;
    readonly endTime: number;
    readonly assertionResults: readonly { readonly status: string; readonly fullName: string }[];
  }[];
}

function firstFailure({ success, testResults }: Report): string | undefined {
  if (success) return undefined;
  for (const { name, status, message, assertionResults } of testResults) {
    const file = name.split('/').at(-1);
    const failed = assertionResults.find((result) => result.status === 'failed');
    if (failed) return `${file}: ${failed.fullName.trim()}`;
    if (status === 'failed') return `${file}: ${message.split('\n')[0]}`;
  }
  return 'an error outside of all tests';
}

function secondsOfFiles({ testResults }: Report, tests: readonly string[]): Map<string, number> {
  const seconds = new Map<string, number>();
  for (const { name, startTime, endTime } of testResults) {
    const file = tests.find((test) => name.endsWith(test));
    if (file) seconds.set(file, (endTime - startTime) / 1000);
  }
  return seconds;
}

/** One file after the other in one thread, in the given order, until a test fails. */
function configuration(tests: readonly string[]): string {
  return `import { defineConfig } from 'vitest/config';
import { BaseSequencer } from 'vitest/node';

const tests = ${JSON.stringify(tests)};
const placeOf = ({ moduleId }) => tests.findIndex((test) => moduleId.endsWith(test));

class Listed extends BaseSequencer {
  async sort(files) {
    return [...files].sort((a, b) => placeOf(a) - placeOf(b));
  }
}

export default defineConfig({
  cacheDir: '.cache',
  test: {
    include: tests,
    bail: 1,
    cache: false,
    fileParallelism: false,
    isolate: false,
    sequence: { sequencer: Listed },
    testTimeout: 60_000,
    // The next run finds the sources compiled, but for the one with another flipped sign.
    experimental: { fsModuleCache: true },
    reporters: ['json'],
    outputFile: 'report.json',
  },
});
`;
}
