import { assert } from 'chai';
import { FrequencyResponse } from '../../engine/analysis/frequency-response.ts';
import { encodeWav } from '../../engine/audio/wav.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { kelvinOf } from '../../engine/network/temperature.ts';
import type { ClipleadBench } from '../../ui/bench.ts';
import { matchSeconds } from '../../ui/ear/level-check.ts';
import { presetNamed } from '../../ui/state/presets.ts';
import { closeBench, openedBench } from './opened-bench.ts';
import { until } from './until.ts';
import '../../ui/main.ts';

const TONE_HZ = 500;
/** So quiet that nothing clips. */
const TONE_V = 0.0003;
const CLIPPING_V = 0.3;
const LIFT = 'clean-midlift';

describe('a chain on a side of the bench', () => {
  let bench: ClipleadBench;

  const inside = (name: string) => bench.shadowRoot!.querySelector(name)!.shadowRoot!;
  const pedals = () => [...inside('chain-strip').querySelectorAll<HTMLElement>('.of-a .look')];
  const titles = () => pedals().map(({ textContent }) => textContent!.trim().slice(0, 8));
  const drawn = async () => {
    await bench.store.settled();
    await bench.updateComplete;
  };

  before(async () => {
    bench = await openedBench();
    const sampleRateHz = 44_100;
    const tone = Float64Array.from(
      { length: sampleRateHz },
      (_, n) => TONE_V * Math.sin((2 * Math.PI * TONE_HZ * n) / sampleRateHz),
    );
    const file = new File([new Uint8Array(encodeWav({ channels: [tone], sampleRateHz }))], 'tone.wav');
    const { store } = bench;
    store.act({ type: 'rate', choice: 4 });
    store.act({ type: 'output', db: -40 });
    store.act({ type: 'copy', from: 'a', to: 'b' });
    store.act({ type: 'match', match: { ...store.state.match, isAutomatic: false } });
    store.act({ type: 'calibrate', calibration: { volts: 1, isMeasured: true } });
    store.act({ type: 'listen', isListening: true });
    bench.dispatchEvent(
      new CustomEvent('bench-action', { detail: { type: 'source', source: { kind: 'file', file } } }),
    );
    await until('the tone', () => bench.session.state.source.kind === 'file');
  });
  after(() => closeBench(bench));

  /** How much louder A is than B, measured while it plays from now on, dB. */
  async function louderDb(): Promise<number> {
    const { session, store } = bench;
    await store.settled();
    session.measureLoudness();
    await until('measured', () => session.readTelemetry().measuredSeconds > matchSeconds(1));
    const { loudnessA, loudnessB } = session.readTelemetry();
    return loudnessA - loudnessB;
  }

  it('is made from the menu, and plays with the gain of both pedals', async () => {
    assert.isTrue(bench.shadowRoot!.querySelector('chain-strip')!.hidden, 'no strip for pedals alone');
    const bar = inside('build-bar');
    bar.querySelector('summary')!.click();
    const before = [...bar.querySelectorAll<HTMLInputElement>('.joining input')][1]!;
    before.click();
    bar.querySelector<HTMLButtonElement>(`[data-preset=${LIFT}]`)!.click();
    await drawn();
    assert.deepEqual(titles(), ['1 Clean ', '2 Soft c']);
    // What a small-signal analysis of the first pedal gives, since its output of some kilohms is hardly loaded.
    const { decibels } = new FrequencyResponse(networkOf(presetNamed(LIFT), kelvinOf(27))).at(TONE_HZ, 'out');
    assert.closeTo(await louderDb(), decibels, 0.3);
  });

  it('sounds otherwise once a key has changed its order, and as before once that is undone', async () => {
    const { store, session } = bench;
    // B goes on with the first order, so that A minus B is the null of the sound against the one before.
    store.act({ type: 'copy', from: 'a', to: 'b' });
    // Loud enough that both pedals clip: the order of linear ones would hardly matter.
    store.act({ type: 'calibrate', calibration: { volts: CLIPPING_V / TONE_V, isMeasured: true } });
    const nullDb = () => session.readTelemetry().differenceDb;
    await until('the same sound', () => Number.isFinite(nullDb()) && nullDb() < -60);
    document.body.dispatchEvent(new KeyboardEvent('keydown', { key: 'o', bubbles: true, composed: true }));
    document.body.dispatchEvent(new KeyboardEvent('keyup', { key: 'o', bubbles: true, composed: true }));
    await drawn();
    assert.deepEqual(titles(), ['1 Soft c', '2 Clean ']);
    await until('another sound', () => nullDb() > -20);
    assert.equal(session.readTelemetry().resets, 0);
    store.act({ type: 'undo' });
    await drawn();
    assert.deepEqual(titles(), ['1 Clean ', '2 Soft c']);
    await until('the sound before', () => nullDb() < -60);
    store.act({ type: 'undo' });
    store.act({ type: 'calibrate', calibration: { volts: 1, isMeasured: true } });
    await drawn();
  });

  it('is moved by Shift and an arrow, and the pedal keeps the focus', async () => {
    const [first] = pedals();
    first!.focus();
    const shifted = { key: 'ArrowRight', shiftKey: true, bubbles: true, composed: true, cancelable: true };
    first!.dispatchEvent(new KeyboardEvent('keydown', shifted));
    await drawn();
    assert.deepEqual(titles(), ['1 Soft c', '2 Clean ']);
    assert.equal(inside('chain-strip').activeElement, pedals()[1]);
    bench.store.act({ type: 'undo' });
    await drawn();
  });

  it('is as loud as its other pedal alone once one is off: a true bypass is a wire', async () => {
    inside('chain-strip').querySelector<HTMLButtonElement>('.of-a .switch')!.click();
    await drawn();
    assert.equal(bench.store.state.places.a.isOn, false);
    assert.closeTo(await louderDb(), 0, 0.1);
  });

  it('keeps each switch in its position on the screen when another pedal is looked at', async () => {
    pedals()[1]!.click();
    await drawn();
    const checked = [
      ...inside('controls-panel').querySelectorAll<HTMLInputElement>('input[type="radio"]:checked'),
    ];
    assert.deepEqual(
      checked.map((input) => input.parentElement!.textContent!.trim()),
      ['symmetric', 'symmetric'],
    );
  });
});
