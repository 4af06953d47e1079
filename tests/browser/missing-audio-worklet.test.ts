import polyfillUrl from 'audioworklet-polyfill/dist/audioworklet-polyfill.js?url';
import { assert } from 'chai';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';

import { compileCircuit } from '../../engine/solver/compile.ts';
import startUrl from '../../ui/start.ts?url';
import { presetNamed } from '../../ui/state/presets.ts';
import benchUrl from '../../worklets/bench.worklet.ts?worklet';
import {
  type BenchOptions,
  type FromProcessor,
  PROCESSOR_NAME,
  STARTING_SETTINGS,
  TELEMETRY,
  type ToProcessor,
} from '../../worklets/bench-messages.ts';
import doublingUrl from './doubling.worklet.ts?worklet';
import { until } from './until.ts';

type Page = Window & typeof globalThis;

/** A page of a browser without AudioWorklet: that of this browser is removed. */
async function pageWithoutAudioWorklet(
  address: string,
): Promise<HTMLIFrameElement & { contentWindow: Page }> {
  const frame = document.createElement('iframe');
  frame.src = address;
  await loaded(frame, () => document.body.append(frame));
  const page = frame.contentWindow as Page;
  Reflect.deleteProperty(page, 'AudioWorkletNode');
  Reflect.deleteProperty(page, 'AudioWorklet');
  Reflect.deleteProperty(page.BaseAudioContext.prototype, 'audioWorklet');
  return frame as HTMLIFrameElement & { contentWindow: Page };
}

function loaded(element: HTMLElement, begin: () => void): Promise<void> {
  return new Promise((resolve, reject) => {
    element.addEventListener('load', () => resolve(), { once: true });
    element.addEventListener('error', () => reject(new Error('did not load')), { once: true });
    begin();
  });
}

function script(page: Page, src: string, type: 'module' | ''): HTMLScriptElement {
  const element = page.document.createElement('script');
  Object.assign(element, { src, type });
  return element;
}

/** The first sample after the silence at the start. */
async function firstSound(context: AudioContext, source: AudioNode): Promise<number> {
  const analyser = new AnalyserNode(context, { fftSize: 256 });
  source.connect(analyser);
  const samples = new Float32Array(analyser.fftSize);
  await until('a sound', () => {
    analyser.getFloatTimeDomainData(samples);
    return samples.at(-1) !== 0;
  });
  return samples.at(-1) ?? 0;
}

describe('a browser without AudioWorklet', () => {
  afterEach(() => {
    for (const frame of document.querySelectorAll('iframe')) frame.remove();
  });

  it('is sent from the main page to the fallback page', async () => {
    // In a frame without a page, so that the new address stays: the real fallback page finds AudioWorklet there again.
    const frame = await pageWithoutAudioWorklet('/nowhere/page');
    const page = frame.contentWindow;
    await loaded(frame, () => page.document.head.append(script(page, startUrl, 'module')));
    assert.match(frame.contentWindow.location.pathname, /^\/nowhere\/fallback\.html$/);
  });

  it('runs a worklet in the replacement for AudioWorklet', async () => {
    const { contentWindow: page } = await pageWithoutAudioWorklet('/site/no-such-page');
    const polyfill = script(page, polyfillUrl, '');
    await loaded(polyfill, () => page.document.head.append(polyfill));
    const context = new page.AudioContext();
    await context.audioWorklet.addModule(doublingUrl);
    const doubling = new page.AudioWorkletNode(context, 'doubling', { outputChannelCount: [1] });
    const source = new page.ConstantSourceNode(context, { offset: 0.25 });
    source.connect(doubling).connect(context.destination);
    source.start();
    const sample = await firstSound(context, doubling);
    await context.close();
    // Exact: doubling a float32 changes only its exponent.
    assert.equal(sample, 0.5);
  });

  it('plays a build through the replacement, and receives its reports', async () => {
    const { contentWindow: page } = await pageWithoutAudioWorklet('/site/no-such-page');
    const polyfill = script(page, polyfillUrl, '');
    await loaded(polyfill, () => page.document.head.append(polyfill));
    const context = new page.AudioContext();
    await context.audioWorklet.addModule(benchUrl);
    const processorOptions: BenchOptions = {
      sampleRateHz: context.sampleRate,
      factor: 4,
      quality: 'low-latency',
    };
    const bench = new page.AudioWorkletNode(context, PROCESSOR_NAME, {
      outputChannelCount: [1],
      processorOptions,
    });
    const telemetry = new Promise<Float32Array>((resolve) => {
      bench.port.onmessage = ({ data }: MessageEvent<FromProcessor>) => {
        if (data.type === 'telemetry' && data.values[TELEMETRY.outputPeak]! > 0) resolve(data.values);
      };
    });
    const send = (message: ToProcessor) => bench.port.postMessage(message);
    const circuit = compileCircuit(networkOf(presetNamed('soft-plain'), NOMINAL_TEMPERATURE_K), {
      sampleRateHz: 4 * context.sampleRate,
    });
    send({ type: 'circuit', slot: 'a', circuit });
    send({ type: 'settings', settings: { ...STARTING_SETTINGS, standIn: false, outputDb: 0 } });
    send({ type: 'mute', muted: false });
    const source = new page.OscillatorNode(context, { frequency: 220 });
    const level = new page.GainNode(context, { gain: 0.2 });
    source.connect(level).connect(bench).connect(context.destination);
    source.start();
    assert.isAbove(Math.abs(await firstSound(context, bench)), 0);
    const values = await telemetry;
    await context.close();
    assert.closeTo(values[TELEMETRY.inputPeakV]!, 0.2, 0.001);
    assert.equal(values[TELEMETRY.failures], 0);
  });
});
