import axe from 'axe-core';
import { assert } from 'chai';
import type { ClipleadBench } from '../../ui/bench.ts';
import '../../ui/main.ts';
import { type FakeInput, fakeInput, stubInputs } from './fake-input.ts';

/** Waits for a result of the sound or the screen. */
async function until(what: string, isSo: () => boolean): Promise<void> {
  for (let attempt = 0; attempt < 500; attempt++) {
    if (isSo()) return;
    await new Promise((resolve) => setTimeout(resolve, 20));
  }
  assert.fail(`in ten seconds: not ${what}`);
}

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

  const clipped = () => inside('input-panel').querySelector('.clipped')?.textContent ?? '';
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
    const clear = button('input-panel', 'Clear');
    assert.equal(clear.ariaLabel, 'Clear the count of clips');
    clear.focus();
    assert.equal(inside('input-panel').activeElement, clear, 'it is reached by key');
    clear.click();
    await until('nothing said of clips', () => clipped() === '');
    assert.equal(counted(), before);
    input!.track.enabled = true;
    await until('a clip again', () => clipped() !== '');
    assert.isBelow(Number(clipped().match(/\d+/)?.[0]), before + 1);
  });

  it('has no accessibility violations after clipping', async function () {
    this.timeout(30_000);
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
      button('calibration-guide', 'Cancel').click();
      await until('closed', () => !dialog().open);
    }

    const closed = () =>
      new Promise((resolve) => dialog().addEventListener('close', resolve, { once: true }));

    it('leaves the input playing as before when it is cancelled', async () => {
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
      const alerts = [...(bench.shadowRoot?.querySelectorAll('[role="alert"]') ?? [])];
      assert.include(alerts.map(({ textContent }) => textContent).join(), 'Still muted: remove the cable');
    });
  });
});
