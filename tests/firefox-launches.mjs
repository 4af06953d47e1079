import { createServer } from 'node:http';
import { parseArgs } from 'node:util';
import { buildIfStale, SITE } from '../ui/production-build.mjs';
import { staticFiles } from '../ui/static-files.mjs';
import { launchFirefox, requireFirefox } from './firefox.mjs';
import { startNullSink } from './null-sink.mjs';

/**
 * Starts Firefox again and again, presses Listen, and asks the page once a second whether it still answers. It finds
 * faults that happen only in some launches, such as a page and an audio thread that wait for each other. `--count 20
 * --seconds 60`; `--site FOLDER` uses another build of the page. The exit code is 1 if one froze or did not play.
 */
const ANSWER_SECONDS = 15;
const WINDOW = { width: 1280, height: 800 };

/**
 * @typedef {{ session: { state: { isRunning: boolean }, readTelemetry(): { outputPeak: number } } }} Bench
 * @typedef {{ isRunning: boolean, outputPeak: number }} Answer
 */

const text = /** @type {const} */ ({ type: 'string' });
const { values } = parseArgs({ options: { count: text, seconds: text, site: text } });
const count = Number(values.count ?? 20);
const seconds = Number(values.seconds ?? 60);
if (!(count >= 1 && seconds >= 1))
  throw new RangeError(`--count ${values.count} --seconds ${values.seconds}`);

if (values.site === undefined) await buildIfStale();
const executablePath = requireFirefox();
const endSink = await startNullSink();
const server = createServer(staticFiles(values.site ?? SITE));
await new Promise((resolve) => server.listen(0, 'localhost', () => resolve(undefined)));
const address = server.address();
const port = typeof address === 'object' && address ? address.port : 0;
const outcomes = new Map([
  ['played', 0],
  ['silent', 0],
  ['frozen', 0],
]);
for (let launch = 1; launch <= count; launch++) {
  const { outcome, afterSeconds, version } = await launched(`http://localhost:${port}/`);
  outcomes.set(outcome, (outcomes.get(outcome) ?? 0) + 1);
  console.log(`${version}, launch ${launch}: ${outcome} after ${afterSeconds.toFixed(1)} s`);
}
console.log([...outcomes].map(([outcome, times]) => `${times} ${outcome}`).join(', '));
server.close();
endSink();
process.exit(outcomes.get('played') === count ? 0 : 1);

/** @param {string} url */
async function launched(url) {
  const browser = await launchFirefox(executablePath);
  const version = await browser.version();
  const page = await browser.newPage();
  await page.setViewport(WINDOW);
  await page.goto(url);
  await page.waitForFunction(() => customElements.get('cliplead-bench') !== undefined);
  // Through the page's own elements, which are in shadow roots.
  await (await page.waitForSelector('>>> output-panel >>> button.listen'))?.click();
  const start = performance.now();
  const passed = () => (performance.now() - start) / 1000;
  /** @type {Answer | undefined} */
  let answer;
  let outputPeak = 0;
  do {
    answer = await Promise.race([page.evaluate(readBench), nothingAfter(ANSWER_SECONDS)]);
    outputPeak = Math.max(outputPeak, answer?.outputPeak ?? 0);
    if (answer) await nothingAfter(1);
  } while (answer && passed() < seconds);
  const afterSeconds = answer ? passed() : passed() - ANSWER_SECONDS;
  // A frozen page cannot be closed.
  if (answer) await browser.close();
  else browser.process()?.kill('SIGKILL');
  const isPlaying = answer?.isRunning && outputPeak > 0;
  return { outcome: answer ? (isPlaying ? 'played' : 'silent') : 'frozen', afterSeconds, version };
}

/**
 * Runs in the page.
 *
 * @returns {Answer}
 */
function readBench() {
  const element = /** @type {unknown} */ (document.querySelector('cliplead-bench'));
  const { session } = /** @type {Bench} */ (element);
  return { isRunning: session.state.isRunning, outputPeak: session.readTelemetry().outputPeak };
}

/**
 * @param {number} time Seconds.
 * @returns {Promise<undefined>}
 */
function nothingAfter(time) {
  return new Promise((resolve) => setTimeout(() => resolve(undefined), 1000 * time));
}
