import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { type Browser, chromium, type Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { nullDepth } from '../../engine/analysis/null-depth.ts';
import { renderOffline } from '../../engine/analysis/offline-render.ts';
import { pluckedPhrase } from '../../engine/audio/plucked-string.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';

import { buildIfStale, SITE } from '../../ui/production-build.mjs';
import { staticFiles } from '../../ui/static-files.mjs';
import { CHROMIUM_FLAGS, requireChromium } from '../chromium.mjs';
import { presetBuild } from '../preset-build.ts';

/**
 * The real page with a WAV as its instrument: Chromium plays the file as an input device, the page opens it like
 * an interface, and the output for the headphones is compared with the same build rendered offline.
 */

/** Rate of the fake device and of the context in headless Chromium; at another rate the browser resamples. */
const RATE_HZ = 44_100;
const LEAD_IN_SECONDS = 2;
const SECONDS = 2;
const TAIL_SECONDS = 1;
/** A busy machine may lose a buffer of a stream in real time. */
const ATTEMPTS = 8;

/** Smallest gain, because the device has 16 bits and its noise is amplified with the signal. */
const build = { ...presetBuild('soft-plain'), knobs: { gain: 0, tone: 0.5, output: 0.6 } };

/** The full scale of the interface is assumed to be 1 V, so that samples are volts. */
function instrument(): Int16Array {
  const phrase = pluckedPhrase({ sampleRateHz: RATE_HZ, peakVolts: 0.5, seed: 2 }).subarray(
    0,
    RATE_HZ * SECONDS,
  );
  const samples = new Int16Array(RATE_HZ * (LEAD_IN_SECONDS + SECONDS + TAIL_SECONDS));
  phrase.forEach((volts, n) => {
    const fade = Math.min(1, (phrase.length - n) / 2000);
    samples[RATE_HZ * LEAD_IN_SECONDS + n] = Math.round(32767 * volts * fade);
  });
  return samples;
}

function wavFile(samples: Int16Array): Uint8Array {
  const bytes = new Uint8Array(44 + samples.byteLength);
  const view = new DataView(bytes.buffer);
  const text = (at: number, letters: string) => bytes.set(new TextEncoder().encode(letters), at);
  text(0, 'RIFF');
  view.setUint32(4, 36 + samples.byteLength, true);
  text(8, 'WAVEfmt ');
  view.setUint32(16, 16, true);
  view.setUint16(20, 1, true);
  view.setUint16(22, 1, true);
  view.setUint32(24, RATE_HZ, true);
  view.setUint32(28, 2 * RATE_HZ, true);
  view.setUint16(32, 2, true);
  view.setUint16(34, 16, true);
  text(36, 'data');
  view.setUint32(40, samples.byteLength, true);
  bytes.set(new Uint8Array(samples.buffer), 44);
  return bytes;
}

/** Runs in the page before its own scripts: records what each node sends to the loudspeaker. */
function tapDestination(): void {
  const taps: number[][] = [];
  Reflect.set(globalThis, 'taps', taps);
  const connect = AudioNode.prototype.connect;
  AudioNode.prototype.connect = function (this: AudioNode, ...args: unknown[]) {
    if (args[0] instanceof AudioDestinationNode && !(this instanceof ScriptProcessorNode)) {
      const tap = (this.context as AudioContext).createScriptProcessor(16_384, 1, 1);
      const heard: number[] = [];
      taps.push(heard);
      tap.onaudioprocess = ({ inputBuffer }) => {
        for (const sample of inputBuffer.getChannelData(0)) heard.push(sample);
      };
      Reflect.apply(connect, this, [tap]);
      Reflect.apply(connect, tap, [this.context.destination]);
    }
    return Reflect.apply(connect, this, args);
  } as typeof connect;
}

/** The elements of the page that the test sets like a person. */
interface Bench extends HTMLElement {
  readonly store: { act(action: object): void };
  readonly session: {
    readonly state: { readonly isRunning: boolean; readonly source: { readonly kind: string } };
  };
}

async function playThrough(page: Page, address: string): Promise<Float64Array> {
  await page.addInitScript(tapDestination);
  await page.goto(address);
  await page.waitForFunction(() => customElements.get('cliplead-bench') !== undefined);
  await page.evaluate((wanted) => {
    const { store } = document.querySelector('cliplead-bench') as Bench;
    store.act({ type: 'load', slot: 'a', build: wanted });
    store.act({ type: 'standIn', hasStandIn: false });
    store.act({ type: 'output', db: 0 });
    store.act({ type: 'calibrate', calibration: { volts: 1, isMeasured: true } });
    store.act({ type: 'source', source: { kind: 'none' } });
    // A measured rate could change during the test; the lowest takes the least of a busy machine.
    store.act({ type: 'rate', choice: 4 });
  }, build);
  await page.getByRole('button', { name: 'Listen' }).click();
  await page.waitForFunction(
    () => (document.querySelector('cliplead-bench') as Bench).session.state.isRunning,
  );
  const input = page.getByRole('combobox', { name: 'Input', exact: true });
  const live = await input.locator('optgroup[label="Live instrument"] option').first().getAttribute('value');
  await input.selectOption(live ?? '');
  await page.getByRole('button', { name: 'open the input' }).click();
  await page.waitForFunction(
    () => (document.querySelector('cliplead-bench') as Bench).session.state.source.kind === 'live',
  );
  // The library's own output is connected too, and silent. A busy machine plays slower than the clock.
  const heard = await page.waitForFunction(
    (frames) => {
      const taps = Reflect.get(globalThis, 'taps') as number[][];
      return taps.find((tap) => {
        const first = tap.findIndex((sample) => Math.abs(sample) > 0.02);
        return first !== -1 && tap.length >= first + frames;
      });
    },
    RATE_HZ * SECONDS,
    { polling: 500 },
  );
  return Float64Array.from((await heard.jsonValue()) ?? []);
}

/** From a tenth of a second before the first sound, as long as the phrase. */
function trimmed(signal: Float64Array): Float64Array {
  const start = signal.findIndex((value) => Math.abs(value) > 0.02) - RATE_HZ / 10;
  return signal.slice(start, start + RATE_HZ * SECONDS);
}

describe('a WAV as the instrument', () => {
  let browser: Browser;
  let server: Server;
  let address = '';
  const folder = mkdtempSync(path.join(tmpdir(), 'cliplead-live-'));
  const samples = instrument();

  beforeAll(async () => {
    await buildIfStale();
    const site = staticFiles(SITE);
    server = createServer((request, response) => site(request, response));
    await new Promise<void>((resolve) => server.listen(0, 'localhost', resolve));
    address = `http://localhost:${(server.address() as AddressInfo).port}/`;
    const file = path.join(folder, 'instrument.wav');
    writeFileSync(file, wavFile(samples));
    browser = await chromium.launch({
      executablePath: requireChromium(),
      args: [
        ...CHROMIUM_FLAGS,
        '--use-fake-ui-for-media-stream',
        '--use-fake-device-for-media-stream',
        `--use-file-for-fake-audio-capture=${file}%noloop`,
      ],
    });
  });

  afterAll(async () => {
    await browser?.close();
    server?.close();
    rmSync(folder, { recursive: true, force: true });
  });

  it('leaves the page as the command line renders it, within −60 dB', async () => {
    const inputV = Float64Array.from(samples, (sample) => sample / 32768);
    const options = { factor: 4, quality: 'low-latency', sampleRateHz: RATE_HZ } as const;
    const expected = trimmed(renderOffline(networkOf(build, NOMINAL_TEMPERATURE_K), inputV, options).outputV);
    const depths: number[] = [];
    for (let attempt = 0; attempt < ATTEMPTS && !depths.some((depth) => depth < -60); attempt++) {
      const page = await browser.newPage();
      page.setDefaultTimeout(60_000);
      const heard = trimmed(await playThrough(page, address));
      await page.close();
      expect(heard.length).toBe(expected.length);
      const { depthDb, gainDb } = nullDepth(heard, expected);
      depths.push(depthDb);
      if (depthDb < -60) expect(Math.abs(gainDb)).toBeLessThan(0.01);
    }
    expect(Math.min(...depths), `null depths ${depths.join(', ')} dB`).toBeLessThan(-60);
  }, 600_000);
});
