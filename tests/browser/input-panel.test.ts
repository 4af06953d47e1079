import axe from 'axe-core';
import { assert } from 'chai';
import type { ClipleadBench } from '../../ui/bench.ts';
import '../../ui/main.ts';
import { type FakeInput, fakeInput, stubInputs } from './fake-input.ts';
import { until } from './until.ts';

describe('a live input', () => {
  let bench: ClipleadBench;
  let input: FakeInput | undefined;
  let restore = () => {};

  beforeEach(async () => {
    localStorage.clear();
    bench = document.createElement('cliplead-bench') as ClipleadBench;
    document.body.append(bench);
    await bench.updateComplete;
  });

  afterEach(async () => {
    await bench.session.stop();
    bench.remove();
    input?.close();
    restore();
    restore = () => {};
  });

  function inside(component: string): ShadowRoot {
    const root = bench.shadowRoot?.querySelector(component)?.shadowRoot;
    if (!root) throw new Error(`there is no ${component}`);
    return root;
  }

  function button(component: string, text: string): HTMLButtonElement {
    const found = [...inside(component).querySelectorAll('button')].find(
      ({ textContent }) => textContent?.trim() === text,
    );
    if (!found) throw new Error(`${component} has no button "${text}"`);
    return found;
  }

  /** Plays a tone of this peak, in units of full scale, into the interface. */
  async function playLive(left: number): Promise<void> {
    input = fakeInput({ left });
    const { stream } = input;
    restore = stubInputs(async () => stream);
    const source = { kind: 'live', deviceId: '', channel: 0 } as const;
    bench.store.act({ type: 'source', source });
    await bench.session.useSource(source);
    await until('an input', () => bench.session.readTelemetry().inputPeakV > 0);
  }

  const lamp = () => inside('input-panel').querySelector<HTMLButtonElement>('.lamp')!;
  const clipped = () => (lamp().disabled ? '' : (lamp().textContent ?? ''));
  const advice = () => inside('input-panel').querySelector('.advice')?.textContent ?? '';
  const footerHeight = () => bench.shadowRoot!.querySelector('footer')!.getBoundingClientRect().height;
  const notices = () => bench.shadowRoot?.querySelector('notice-bar')?.shadowRoot?.textContent ?? '';
  const counted = () => bench.session.readTelemetry().inputClips;

  it('shows clips until they are cleared, and counts again from there; a blind test’s own count continues', async () => {
    await playLive(1.5);
    await until('a clip on the screen', () => clipped() !== '');
    // The tone of 200 Hz clips some hundred times a second; while the device is muted it does not clip.
    await until('clips', () => counted() > 10);
    input!.track.enabled = false;
    await until('no more clips', () => bench.session.readTelemetry().inputPeakV < 0.01);
    const before = counted();
    await until('all of them on the screen', () => clipped() === `clipped ${before}×`);
    assert.equal(lamp().ariaLabel, `clipped ${before}×: clear the count`);
    lamp().focus();
    assert.equal(inside('input-panel').activeElement, lamp(), 'it is reached by key');
    lamp().click();
    await until('nothing said of clips', () => clipped() === '');
    assert.equal(counted(), before);
    input!.track.enabled = true;
    await until('a clip again', () => clipped() !== '');
    assert.isBelow(Number(clipped().match(/\d+/)?.[0]), before + 1);
  });

  it('says how to turn the interface while it plays, and nothing when it is silent, unplugged or denied', async () => {
    const height = footerHeight();
    await playLive(1.5);
    // 1.5 of full scale is 3.5 dB above it, 15.5 dB above the aim; a browser may cut it at full scale.
    await until('advice', () => /^Turn the interface down by about 1[25] dB\.$/.test(advice()));
    assert.equal(footerHeight(), height);
    input!.track.enabled = false;
    await until('no advice', () => advice() === '');
    assert.equal(footerHeight(), height);
    input!.unplug();
    await until('it is said', () => notices().includes('was disconnected'));
    restore();
    restore = stubInputs(() => Promise.reject(new DOMException('', 'NotAllowedError')));
    await bench.session.useSource({ kind: 'live', deviceId: '', channel: 0 });
    await until('it is said', () => notices().includes('was not allowed to open the input'));
    assert.equal(advice(), '');
    assert.equal(footerHeight(), height);
  });

  it('has no accessibility violations after clipping', async () => {
    await playLive(1.5);
    await until('a clip on the screen', () => clipped() !== '');
    const { violations } = await axe.run(inside('input-panel').host, { resultTypes: ['violations'] });
    assert.deepEqual(
      violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html).join(' ')}`),
      [],
    );
  });

  describe('the measurement of its full scale', () => {
    const dialog = () => inside('calibration-guide').querySelector('dialog')!;

    /** Opens the guide, and leaves it with a button. */
    async function cancel(meanwhile: () => Promise<void> = async () => {}): Promise<void> {
      await bench.updateComplete;
      bench.dispatchEvent(new CustomEvent('bench-action', { detail: { type: 'guideCalibration' } }));
      assert.isTrue(dialog().open);
      assert.isFalse(bench.store.state.isListening, 'the builds are muted meanwhile');
      await meanwhile();
      button('calibration-guide', 'Close').click();
      await until('closed', () => !dialog().open);
    }

    const closed = () =>
      new Promise((resolve) => dialog().addEventListener('close', resolve, { once: true }));

    it('leaves the input playing as before when it is closed', async () => {
      bench.store.act({ type: 'listen', isListening: true });
      let done = closed();
      await cancel();
      await done;
      assert.isTrue(bench.store.state.isListening);
      bench.store.act({ type: 'listen', isListening: false });
      done = closed();
      await cancel();
      await done;
      assert.isFalse(bench.store.state.isListening);
    });

    it('leaves the sound muted, with a message, if a cable may still connect output and input', async () => {
      await playLive(0.1);
      bench.store.act({ type: 'listen', isListening: true });
      const done = closed();
      await cancel(async () => {
        button('calibration-guide', 'Play 150 Hz').click();
        await until('the tone', () => bench.session.state.playsTone);
      });
      await done;
      assert.isFalse(bench.store.state.isListening);
      assert.isFalse(bench.session.state.playsTone);
      await bench.updateComplete;
      await until('why', () => notices().includes('Still muted: remove the cable'));
    });
  });
});
