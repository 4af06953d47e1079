import axe from 'axe-core';
import { assert } from 'chai';
import { encodeWav } from '../../engine/audio/wav.ts';
import type { ClipleadBench } from '../../ui/bench.ts';
import { forgetRiff, loadRiffs } from '../../ui/state/kept-riffs.ts';
import '../../ui/main.ts';
import { fakeInput, stubInputs } from './fake-input.ts';
import { until } from './until.ts';

const TONE_PEAK = 0.4;

describe('the riff loop on the screen', () => {
  let bench: ClipleadBench;
  let restore = () => {};

  beforeEach(async () => {
    localStorage.clear();
    for (const { id } of await loadRiffs()) await forgetRiff(id);
    bench = document.createElement('cliplead-bench') as ClipleadBench;
    document.body.append(bench);
    bench.store.act({ type: 'view', view: 'ear' });
    await bench.updateComplete;
  });

  afterEach(async () => {
    await bench.session.stop();
    bench.remove();
    restore();
    restore = () => {};
  });

  /** The panel's own shadow tree. */
  function panel(): ShadowRoot {
    const room = bench.shadowRoot?.querySelector('ear-room')?.shadowRoot;
    const root = room?.querySelector('riff-panel')?.shadowRoot;
    if (!root) throw new Error('there is no riff panel');
    return root;
  }

  function button(text: string): HTMLButtonElement {
    const found = [...panel().querySelectorAll('button')].find((each) => each.textContent?.trim() === text);
    if (!found) throw new Error(`there is no button "${text}"`);
    return found;
  }

  const riffs = () => bench.store.state.ear.riffs;
  const press = (key: string) =>
    document.body.dispatchEvent(new KeyboardEvent('keydown', { key, bubbles: true, composed: true }));

  /** Half a second of a tone and as much of silence, as a file. */
  function phrase(): File {
    const sampleRateHz = 44_100;
    const samples = Float64Array.from({ length: sampleRateHz }, (_, n) =>
      n < sampleRateHz / 2 ? TONE_PEAK * Math.sin((2 * Math.PI * 200 * n) / sampleRateHz) : 0,
    );
    return new File([new Uint8Array(encodeWav({ channels: [samples], sampleRateHz }))], 'phrase.wav');
  }

  async function addPhrase(): Promise<void> {
    bench.store.act({ type: 'calibrate', calibration: { volts: 2, isMeasured: true } });
    bench.dispatchEvent(
      new CustomEvent('bench-action', {
        detail: { type: 'earCommand', command: { do: 'addFile', file: phrase() } },
      }),
    );
    await until('a riff that plays', () => bench.session.state.source.kind === 'riff');
    await bench.updateComplete;
  }

  it('captures the dry input in volts from the first press of the space bar to the second, and plays it', async () => {
    const input = fakeInput({ left: TONE_PEAK });
    restore = stubInputs(async () => input.stream);
    bench.store.act({ type: 'calibrate', calibration: { volts: 2, isMeasured: true } });
    bench.store.act({ type: 'ear', change: { hasCountIn: false } });
    const source = { kind: 'live', deviceId: '', channel: 0 } as const;
    bench.store.act({ type: 'source', source });
    await bench.session.useSource(source);
    await until('an input', () => bench.session.readTelemetry().inputPeakV > TONE_PEAK);
    await bench.updateComplete;
    button('Record a riff').click();
    assert.equal(bench.store.state.ear.capture, 'armed');
    const { heard } = bench.store.state;
    press(' ');
    await until('a second captured', () => bench.session.readTelemetry().capturedSeconds > 1);
    press(' ');
    await until('a riff', () => riffs().length === 1);
    input.close();
    assert.equal(bench.store.state.heard, heard, 'the space bar belongs to the capture meanwhile');
    const riff = riffs()[0]!;
    // At least the second of waiting, plus at most the delay of the page.
    assert.isAbove(riff.samples.length, riff.sampleRateHz);
    const peakV = riff.samples.reduce((most, volts) => Math.max(most, Math.abs(volts)), 0);
    assert.closeTo(peakV, 2 * TONE_PEAK, 0.01);
    await until('the riff played', () => bench.session.state.source.kind === 'riff');
    await until('a pass', () => bench.session.readTelemetry().riffPasses > 0);
    assert.closeTo(bench.session.readTelemetry().inputPeakV, 2 * TONE_PEAK, 0.01);
  });

  it('shows a count-in of four beats before it captures', async () => {
    const input = fakeInput({ left: TONE_PEAK });
    restore = stubInputs(async () => input.stream);
    // Beats of half a second, which a busy page draws too.
    bench.store.act({ type: 'ear', change: { tempoBpm: 120 } });
    await bench.session.useSource({ kind: 'live', deviceId: '', channel: 0 });
    bench.store.act({ type: 'source', source: bench.session.state.source });
    await until('a button', () => !button('Record a riff').disabled);
    const seen = new Set<string>();
    button('Record a riff').click();
    await until('capturing', () => {
      const now = panel().querySelector('.beat.now')?.textContent;
      if (bench.store.state.ear.capture === 'counting' && now) seen.add(now);
      return bench.store.state.ear.capture === 'capturing';
    });
    input.close();
    assert.deepEqual([...seen], ['1', '2', '3', '4']);
    button('Cancel').click();
    assert.equal(bench.store.state.ear.capture, 'idle');
    assert.isEmpty(riffs());
  });

  it('treats a press during the count-in as the start: it captures from there, and loses nothing', async () => {
    const input = fakeInput({ left: TONE_PEAK });
    restore = stubInputs(async () => input.stream);
    // Six seconds of count-in, so that it does not end before the press.
    bench.store.act({ type: 'ear', change: { tempoBpm: 40 } });
    const source = { kind: 'live', deviceId: '', channel: 0 } as const;
    bench.store.act({ type: 'source', source });
    await bench.session.useSource(source);
    await until('an input', () => bench.session.readTelemetry().inputPeakV > 0.5 * TONE_PEAK);
    await bench.updateComplete;
    button('Record a riff').click();
    assert.equal(bench.store.state.ear.capture, 'counting');
    await until('what a press does', () =>
      (panel().querySelector('[role="status"]')?.textContent ?? '').includes('To start now, press'),
    );
    press(' ');
    assert.equal(bench.store.state.ear.capture, 'capturing');
    assert.equal(bench.store.state.ear.beats, 1);
    await until('half a second captured', () => bench.session.readTelemetry().capturedSeconds > 0.5);
    press(' ');
    await until('a riff', () => riffs().length === 1);
    input.close();
    assert.isAbove(riffs()[0]!.samples.length, 0.5 * riffs()[0]!.sampleRateHz);
  });

  it('keeps riffs for the next visit, with names and ends', async () => {
    await addPhrase();
    const name = panel().querySelector<HTMLInputElement>('input[type="text"]')!;
    name.value = 'Half a bar';
    name.dispatchEvent(new Event('change', { bubbles: true }));
    const wave = panel().querySelector('riff-waveform')!.shadowRoot!;
    const end = wave.querySelector<HTMLElement>('[aria-label="End of the loop"]')!;
    end.dispatchEvent(new KeyboardEvent('keydown', { key: 'ArrowLeft', shiftKey: true, bubbles: true }));
    // The end is one seam of 5 ms before the last sample, and a long step is a tenth of a second.
    const { sampleRateHz, samples } = riffs()[0]!;
    assert.closeTo(samples.length - riffs()[0]!.endFrame, 0.105 * sampleRateHz, 2);
    const { endFrame } = riffs()[0]!;
    await until('name and end kept', async () =>
      (await loadRiffs()).some((riff) => riff.name === 'Half a bar' && riff.endFrame === endFrame),
    );
    const kept = await loadRiffs();
    assert.deepEqual(
      kept.map((riff) => [riff.name, riff.endFrame]),
      [['Half a bar', endFrame]],
    );
    assert.deepEqual(kept[0]?.samples, samples);
  });

  it('switches between A and B at every loop, in the sound and on the screen', async () => {
    await addPhrase();
    const everyPass = [...panel().querySelectorAll('label')].find(
      (label) => label.textContent === 'every loop',
    );
    everyPass?.querySelector('input')?.click();
    const heard = new Set([bench.store.state.heard]);
    await until('both heard', () => {
      heard.add(bench.store.state.heard);
      return heard.size === 2;
    });
    assert.isAtLeast(bench.session.readTelemetry().riffPasses, 1);
  });

  it('reports when the input was silent', async () => {
    const silence = encodeWav({ channels: [new Float64Array(44_100)], sampleRateHz: 44_100 });
    const file = new File([new Uint8Array(silence)], 'nothing.wav');
    const detail = { type: 'earCommand', command: { do: 'addFile', file } };
    bench.dispatchEvent(new CustomEvent('bench-action', { detail }));
    await until('a refusal', () => bench.store.state.refusal !== undefined);
    assert.include(bench.store.state.refusal?.message, 'silence');
    assert.isEmpty(riffs());
  });

  it('has no accessibility violations while a riff plays', async () => {
    await addPhrase();
    const { violations } = await axe.run(bench, { resultTypes: ['violations'] });
    assert.deepEqual(
      violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html).join(' ')}`),
      [],
    );
  });
});
