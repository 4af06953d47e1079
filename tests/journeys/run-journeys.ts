import { mkdirSync, mkdtempSync } from 'node:fs';
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { parseArgs } from 'node:util';
import { chromium } from 'playwright-core';
import { buildIfStale, SITE } from '../../ui/production-build.mjs';
import { staticFiles } from '../../ui/static-files.mjs';
import { CHROMIUM_FLAGS, requireChromium } from '../chromium.mjs';
import { firstMinutes } from './first-minutes.ts';
import { germanium } from './germanium.ts';
import { writeInputFile } from './input-file.ts';
import type { Count, Input, Journey } from './journey.ts';
import { liveGuitar } from './live-guitar.ts';
import { measuring } from './measuring.ts';
import { DENIED, SILENT, UNPLUGGED } from './nothing-works.ts';
import { oneFootSwitch } from './one-foot-switch.ts';
import { Person } from './person.ts';
import { phone } from './phone.ts';
import { print } from './print.ts';

const JOURNEYS: readonly Journey[] = [
  firstMinutes,
  liveGuitar,
  germanium,
  measuring,
  oneFootSwitch,
  print,
  phone,
  DENIED,
  UNPLUGGED,
  SILENT,
];
const USAGE = 'usage: npm run journeys [-- --only NAME] [--out FOLDER]';

/**
 * Goes all ways through the page in Chromium, stores pictures to be looked at and prints how many actions each took.
 *
 * @returns 1 if a journey could not be finished, threw an error in the page or took more actions than it may.
 */
export async function runJourneys(args: readonly string[]): Promise<number> {
  const { only, out } = options(args);
  await buildIfStale();
  const server = createServer(staticFiles(SITE));
  await new Promise<void>((resolve) => server.listen(0, 'localhost', resolve));
  const address = `http://localhost:${(server.address() as AddressInfo).port}/`;
  const wanted = JOURNEYS.filter(({ name }) => only === undefined || name === only);
  let failures = 0;
  for (const journey of wanted) {
    const faults = await attempt(journey, address, out).catch((error: unknown) => [String(error)]);
    for (const fault of faults) console.log(`  FAILED ${journey.name}: ${fault}`);
    failures += faults.length;
  }
  server.close();
  console.log(`\nPictures are in ${out}.`);
  return failures === 0 && wanted.length > 0 ? 0 : 1;
}

function options(args: readonly string[]): { readonly only: string | undefined; readonly out: string } {
  const { values } = parseArgs({
    args: [...args],
    options: { only: { type: 'string' }, out: { type: 'string' }, help: { type: 'boolean' } },
  });
  if (values.help) console.log(USAGE);
  const out = values.out ?? mkdtempSync(path.join(tmpdir(), 'cliplead-journeys-'));
  mkdirSync(out, { recursive: true });
  return { only: values.only, out };
}

/** @returns What went wrong. */
async function attempt(journey: Journey, address: string, folder: string): Promise<readonly string[]> {
  const browser = await chromium.launch({
    executablePath: requireChromium(),
    args: [...CHROMIUM_FLAGS, ...inputFlags(journey.input, folder)],
  });
  const faults: string[] = [];
  try {
    const context = await browser.newContext({
      viewport: journey.screen,
      ...(journey.isPhone ? { hasTouch: true, isMobile: true } : {}),
    });
    const page = await context.newPage();
    page.setDefaultTimeout(30_000);
    page.on('pageerror', ({ message }) => faults.push(message));
    await page.goto(address);
    await page.locator('switch-panel button').first().waitFor();
    const person = new Person(page, folder, journey.name);
    try {
      for (const count of await journey.go(person)) report(journey, count, faults);
    } catch (error) {
      await person.look('failed');
      throw error;
    }
    return faults;
  } finally {
    await browser.close();
  }
}

function inputFlags(input: Input, folder: string): readonly string[] {
  if (input === 'denied') return ['--use-fake-device-for-media-stream', '--deny-permission-prompts'];
  // Loud enough for a usual interface, and quieter than its limit.
  const file = writeInputFile(folder, input === 'guitar' ? 1 : 0);
  return [
    '--use-fake-ui-for-media-stream',
    '--use-fake-device-for-media-stream',
    `--use-file-for-fake-audio-capture=${file}`,
  ];
}

function report({ name }: Journey, count: Count, faults: string[]): void {
  const { what, actions, byHand, mostActions, mostByHand } = count;
  console.log(`${name}: ${what}: ${actions} actions, ${byHand} by hand`);
  if (actions > (mostActions ?? actions)) faults.push(`${what}: more than ${mostActions} actions`);
  if (byHand > (mostByHand ?? byHand)) faults.push(`${what}: more than ${mostByHand} by hand`);
}
