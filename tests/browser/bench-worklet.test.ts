import { assert } from 'chai';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';

import { compileCircuit } from '../../engine/solver/compile.ts';
import { presetNamed } from '../../ui/state/presets.ts';
import benchUrl from '../../worklets/bench.worklet.ts?worklet';
import { BenchEngine } from '../../worklets/bench-engine.ts';
import {
  type BenchOptions,
  type FromProcessor,
  PROCESSOR_NAME,
  STARTING_SETTINGS,
  type ToProcessor,
} from '../../worklets/bench-messages.ts';

const RATE_HZ = 48_000;
const OPTIONS: BenchOptions = { sampleRateHz: RATE_HZ, factor: 8, quality: 'low-latency' };

describe('the bench in an AudioWorklet', () => {
  it('gives the samples of its engine, with circuits that were posted to it', async () => {
    const options = { sampleRateHz: RATE_HZ * OPTIONS.factor };
    const messages: ToProcessor[] = [
      {
        type: 'circuit',
        slot: 'a',
        circuit: compileCircuit(networkOf(presetNamed('soft-plain'), NOMINAL_TEMPERATURE_K), options),
      },
      {
        type: 'circuit',
        slot: 'b',
        circuit: compileCircuit(networkOf(presetNamed('clean-plain'), NOMINAL_TEMPERATURE_K), options),
      },
      { type: 'settings', settings: { ...STARTING_SETTINGS, outputDb: 0 } },
      { type: 'mute', muted: false },
      { type: 'hear', slot: 'b' },
    ];
    const input = Float32Array.from(
      { length: RATE_HZ },
      (_, n) => 0.3 * Math.sin((2 * Math.PI * 196 * n) / RATE_HZ),
    );
    const engine = new BenchEngine(OPTIONS);
    for (const message of messages) engine.receive(message);
    const expected = new Float32Array(input.length);
    engine.process(input, expected);

    const context = new OfflineAudioContext(1, input.length, RATE_HZ);
    await context.audioWorklet.addModule(benchUrl);
    const node = new AudioWorkletNode(context, PROCESSOR_NAME, {
      outputChannelCount: [1],
      processorOptions: OPTIONS,
    });
    const answer = new Promise<FromProcessor>((resolve) => {
      node.port.onmessage = ({ data }: MessageEvent<FromProcessor>) => resolve(data);
    });
    for (const message of messages) node.port.postMessage(message);
    // A port keeps the order: the answer to the last messages shows that the others arrived before the rendering.
    for (const isCapturing of [true, false]) node.port.postMessage({ type: 'capture', isCapturing });
    const { type } = await answer;
    assert.equal(type, 'captured');
    const buffer = new AudioBuffer({ length: input.length, sampleRate: RATE_HZ });
    buffer.copyToChannel(input, 0);
    const source = new AudioBufferSourceNode(context, { buffer });
    source.connect(node).connect(context.destination);
    source.start();
    const rendered = (await context.startRendering()).getChannelData(0);
    assert.isAbove(
      rendered.reduce((most, sample) => Math.max(most, Math.abs(sample)), 0),
      0.05,
    );
    assert.deepEqual(rendered, expected);
  });
});
