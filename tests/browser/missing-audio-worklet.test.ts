import polyfillUrl from 'audioworklet-polyfill/dist/audioworklet-polyfill.js?url';
import { assert } from 'chai';
import startUrl from '../../ui/start.ts?url';
import doublingUrl from './doubling.worklet.ts?worklet';

type Page = Window & typeof globalThis;

/** A page of a browser without AudioWorklet: this one's, taken away. */
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

/** The first sample after the start-up silence, or 0 if two seconds bring none. */
async function firstSound(context: AudioContext, source: AudioNode): Promise<number> {
  const analyser = new AnalyserNode(context, { fftSize: 256 });
  source.connect(analyser);
  const samples = new Float32Array(analyser.fftSize);
  for (let attempt = 0; attempt < 100 && samples.at(-1) === 0; attempt++) {
    await new Promise((resolve) => setTimeout(resolve, 20));
    analyser.getFloatTimeDomainData(samples);
  }
  return samples.at(-1) ?? 0;
}

describe('a browser without AudioWorklet', () => {
  afterEach(() => {
    for (const frame of document.querySelectorAll('iframe')) frame.remove();
  });

  it('is sent from the main page to the fallback page', async () => {
    // Any address beside the pages will do; this one has no policy of its own.
    const frame = await pageWithoutAudioWorklet('/site/no-such-page');
    const page = frame.contentWindow;
    await loaded(frame, () => page.document.head.append(script(page, startUrl, 'module')));
    assert.match(frame.contentWindow.location.pathname, /^\/site\/fallback\.html$/);
  });

  it('runs a worklet in the stand-in', async () => {
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
    // Exact: doubling a float32 changes its exponent only.
    assert.equal(sample, 0.5);
  });
});
