import { assert } from 'chai';
import doublingUrl from './doubling.worklet.ts?worklet';

const FRAMES = 1000;

describe('a worklet imported by its address', () => {
  it('is served from the page’s own origin under its own path', () => {
    const address = new URL(doublingUrl, location.href);
    assert.equal(address.origin, location.origin);
    assert.match(address.pathname, /doubling\.worklet/);
  });

  it('runs on the audio thread with its imports', async () => {
    const context = new OfflineAudioContext({ length: FRAMES, sampleRate: 48000 });
    await context.audioWorklet.addModule(doublingUrl);
    const ramp = context.createBuffer(1, FRAMES, context.sampleRate);
    ramp.copyToChannel(
      Float32Array.from({ length: FRAMES }, (_, n) => n / FRAMES),
      0,
    );
    const source = new AudioBufferSourceNode(context, { buffer: ramp });
    source.connect(new AudioWorkletNode(context, 'doubling')).connect(context.destination);
    source.start();

    const rendered = (await context.startRendering()).getChannelData(0);

    // Exact: doubling a float32 changes only its exponent.
    assert.deepEqual(
      rendered,
      ramp.getChannelData(0).map((sample) => 2 * sample),
    );
  });

  it('runs in an isolated page, which shared memory needs', () => {
    assert.isTrue(crossOriginIsolated);
  });
});
