import axe from 'axe-core';
import { assert } from 'chai';
import { steadySine } from '../../engine/analysis/steady-sine.ts';
import { encodeWav } from '../../engine/audio/wav.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';

import type { ClipleadBench } from '../../ui/bench.ts';
import type { PlotFrame } from '../../ui/components/plots/plot-frame.ts';
import type { PlotsPanel } from '../../ui/components/plots/plots-panel.ts';
import type { Column } from '../../ui/plots/plot-view.ts';
import { presetNamed } from '../../ui/state/presets.ts';
import { SLOTS, type Slot } from '../../worklets/bench-messages.ts';
import { SCOPE_CHANNELS, SCOPE_FRAMES } from '../../worklets/scope-recorder.ts';
import '../../ui/main.ts';
import { played } from './played.ts';
import { framesDrawn, until } from './until.ts';

const TONE_HZ = 441;
const TONE_PEAK_V = 0.3;

let bench: ClipleadBench;

const panel = () => bench.shadowRoot!.querySelector('plots-panel') as PlotsPanel;
const frame = () => panel().shadowRoot!.querySelector('plot-frame') as PlotFrame;
const inFrame = <T extends HTMLElement>(selector: string) => frame().shadowRoot!.querySelector<T>(selector)!;
const inMenu = <T extends HTMLElement>(selector: string) =>
  panel().shadowRoot!.querySelector('probe-menu')!.shadowRoot!.querySelector<T>(selector)!;
const text = () => (frame().shadowRoot!.textContent ?? '').replace(/\s+/g, ' ');

const hasNumbers = (column: Column) => column.some((value) => value !== null);

async function show(kind: string): Promise<void> {
  panel().shadowRoot!.querySelector<HTMLElement>(`#tab-0-${kind}`)!.click();
  await until(`the ${kind} plot`, () => {
    const { dataset, view } = frame();
    return dataset['kind'] === kind && view.data.every(hasNumbers);
  });
  await frame().updateComplete;
}

async function probe(net: string): Promise<void> {
  const menu = inMenu<HTMLSelectElement>('select');
  menu.value = net;
  menu.dispatchEvent(new Event('change', { bubbles: true }));
  await panel().updateComplete;
}

/** The bench with its plots, on a first visit. */
async function openBench(): Promise<void> {
  localStorage.clear();
  bench = document.createElement('cliplead-bench') as ClipleadBench;
  document.body.append(bench);
  await until('the plots', () => customElements.get('plots-panel') !== undefined);
  await until('the response', () => panel().shadowRoot?.querySelector('plot-frame') !== null);
}

/** A whole number of periods, so that it loops without a seam. */
function toneFile(): File {
  const sampleRateHz = 44_100;
  const tone = Float64Array.from(
    { length: sampleRateHz },
    (_, n) => 0.5 * Math.sin((2 * Math.PI * TONE_HZ * n) / sampleRateHz),
  );
  return new File([new Uint8Array(encodeWav({ channels: [tone], sampleRateHz }))], 'tone.wav');
}

describe('the plots', () => {
  beforeEach(openBench);
  afterEach(async () => {
    await bench.session.stop();
    bench.remove();
    delete document.documentElement.dataset['theme'];
  });

  it('are drawn again only if something in them has changed', async () => {
    await show('response');
    // Each build is analysed by itself; the difference needs both.
    await until('both curves', () => frame().view?.data[3]?.every((value) => value !== null) ?? false);
    const before = frame().view;
    bench.store.act({ type: 'rename', slot: 'a', title: 'Mine' });
    bench.store.act({ type: 'output', db: -20 });
    await bench.updateComplete;
    assert.strictEqual(frame().view, before);
    bench.store.act({ type: 'setPart', slot: 'a', ref: 'C3', setting: { value: '100n' } });
    await until('another response', () => frame().view !== before);
  });

  it('show a probed net in volts while it plays, with the same values as the analysis', async () => {
    // 0.5 of full scale.
    bench.store.act({ type: 'calibrate', calibration: { volts: 2 * TONE_PEAK_V, isMeasured: true } });
    bench.store.act({ type: 'source', source: { kind: 'file', file: toneFile() } });
    bench.store.act({ type: 'listen', isListening: true });
    await probe('clipped');
    assert.equal(bench.store.state.probe, 'clipped');
    await until('a gain of the probe', () => {
      const { probeGainDbA, probeGainDbB } = bench.session.readTelemetry();
      return Number.isFinite(probeGainDbA) && Number.isFinite(probeGainDbB);
    });
    const swingOf = (values: ArrayLike<number>) =>
      Math.max(...Array.from(values)) - Math.min(...Array.from(values));
    const expectedIn = (slot: Slot) => {
      const test = { hz: TONE_HZ, peakV: TONE_PEAK_V };
      return swingOf(
        steadySine(networkOf(bench.store.state.builds[slot], NOMINAL_TEMPERATURE_K), test, [
          'clipped',
        ]).volts.get('clipped')!,
      );
    };
    const expected = { a: expectedIn('a'), b: expectedIn('b') };
    bench.session.wantScope(true);
    const played = { a: 0, b: 0 };
    const isAsExpected = (slot: Slot) => {
      // Resampling of the file and the 20 kHz bandwidth of the scope change the edges by a percent.
      return Math.abs(played[slot] / expected[slot] - 1) <= 0.02;
    };
    // The first frames contain the start of the sound.
    await until(
      () => `swings of ${JSON.stringify(expected)} V, but ${JSON.stringify(played)}`,
      () => {
        const seen = bench.session.readScope();
        for (const slot of seen ? SLOTS : []) {
          const first = SCOPE_CHANNELS[slot] * SCOPE_FRAMES;
          played[slot] = swingOf(seen!.subarray(first, first + SCOPE_FRAMES));
        }
        return SLOTS.every(isAsExpected);
      },
    );
    await until('both gains in the menu', () =>
      /A −\d+\.\d dB, B −\d+\.\d dB/.test(inMenu('span').textContent ?? ''),
    );
    document.body.dispatchEvent(
      new KeyboardEvent('keydown', { key: 'Escape', bubbles: true, composed: true }),
    );
    assert.isUndefined(bench.store.state.probe);
  });

  it('show the levels of the present sound, equal to those of the steady sine', async () => {
    bench.store.act({ type: 'calibrate', calibration: { volts: 2 * TONE_PEAK_V, isMeasured: true } });
    bench.store.act({ type: 'source', source: { kind: 'file', file: toneFile() } });
    bench.store.act({ type: 'listen', isListening: true });
    await show('levels');
    panel().shadowRoot!.querySelector<HTMLInputElement>('.segments label:last-of-type input')!.click();
    const volts = (column: number, net: string) =>
      frame().view.data[column]![frame().view.rowNames!.indexOf(net)] ?? 0;
    await until('levels', () => volts(1, 'clipped') > 0.1 && volts(2, 'out') > 0.01);
    // The start is over in the sound and on the screen: twenty drawings, one every third frame, forget 0.9 of it.
    await played(bench.session, 2);
    await framesDrawn(60);
    for (const [column, slot] of [
      [1, 'a'],
      [2, 'b'],
    ] as const) {
      const network = networkOf(bench.store.state.builds[slot], NOMINAL_TEMPERATURE_K);
      const sine = steadySine(network, { hz: TONE_HZ, peakV: TONE_PEAK_V }, ['clipped', 'out']);
      for (const net of ['clipped', 'out']) {
        const rest = sine.restV.get(net)!;
        const expected = Math.max(...sine.volts.get(net)!.map((value) => Math.abs(value - rest)));
        // Held for half a second; during it the bias may still settle by a few percent.
        assert.closeTo(volts(column, net) / expected, 1, 0.05, `${slot} ${net}`);
      }
    }
    assert.match(text(), /Levels, live/);
  });

  it('say that a build does not have the net', async () => {
    await probe('D1.cathode');
    bench.store.act({ type: 'link', isLinked: false });
    bench.store.act({ type: 'throwSwitch', slot: 'b', name: 'clipping', position: 'lifted' });
    const notices = () =>
      [...panel().shadowRoot!.querySelectorAll('.problem')].map((each) => each.textContent);
    await until('a notice', () => notices().length === 1);
    assert.match(notices()[0] ?? '', /^B has no net D1.cathode/);
    bench.store.act({ type: 'probe', net: undefined });
    await until('no notice', () => notices().length === 0);
  });

  it('follow a swap', async () => {
    await show('response');
    const peak = () => Math.max(...frame().view.data[2]!.flatMap((value) => value ?? []));
    const before = peak();
    bench.store.act({ type: 'setPart', slot: 'b', ref: 'R6', setting: { value: '1M' } });
    // Feedback of 1.08 MΩ instead of 0.13 MΩ; C4 takes most of the rest at the peak.
    await until('more gain in B', () => peak() > before + 6);
  });

  it('have a readout each, for the mouse and for the arrow keys', async () => {
    for (const [kind, says, reads] of [
      ['response', /Gain from input to the output/, /Hz: A .* dB, B .* dB, B − A/],
      ['clipping', /input rising/, /in: A .* rising, .* falling; B/],
      ['waveform', /At the output/, /ms: input .*V, A .*V, B .*V/],
      ['harmonics', /THD: A [\d.]+ %, B [\d.]+ %, relative to the fundamental/, /H1, 440 Hz: A 0.0 dB/],
      ['levels', /Lines: limit of the part that drives the net/, /Input: 200 mV peak/],
    ] as const) {
      await show(kind);
      assert.match(text(), says, kind);
      inFrame('.plot').dispatchEvent(new KeyboardEvent('keydown', { key: 'ArrowRight', bubbles: true }));
      await until(`a readout of ${kind}`, () => reads.test(text()));
    }
  });

  it('give their numbers as a table', async () => {
    await show('harmonics');
    let copied = '';
    const original = navigator.clipboard.writeText;
    navigator.clipboard.writeText = (csv: string) => {
      copied = csv;
      return Promise.resolve();
    };
    try {
      inFrame<HTMLButtonElement>('[title*="table"]').click();
      await until('an answer', () => text().includes('Numbers copied.'));
    } finally {
      navigator.clipboard.writeText = original;
    }
    const lines = copied.trimEnd().split('\r\n');
    assert.equal(lines[0], 'Harmonic,"A, dB","B, dB"');
    assert.equal(lines.length, 11);
    assert.equal(lines[1], '1,0,0');
    const canvas = inFrame<HTMLCanvasElement>('canvas');
    const { write } = navigator.clipboard;
    let picture: Blob | undefined;
    navigator.clipboard.write = async ([item]) => {
      picture = await item!.getType('image/png');
    };
    try {
      inFrame('[title*="picture"]').click();
      await until('a picture', () => text().includes('Picture copied.'));
    } finally {
      navigator.clipboard.write = write;
    }
    const { width, height } = await createImageBitmap(picture!);
    assert.equal(width, 2 * canvas.width);
    assert.isAbove(height, 2 * canvas.height);
  });

  for (const theme of ['light', 'dark'] as const) {
    it(`have no accessibility violations in ${theme} colours`, async () => {
      document.documentElement.dataset['theme'] = theme;
      await probe('clipped');
      await show('waveform');
      const { violations } = await axe.run(panel(), { resultTypes: ['violations'] });
      assert.deepEqual(
        violations.flatMap(({ id, nodes }) =>
          nodes.map(({ target, failureSummary }) => `${id}: ${target} ${failureSummary}`),
        ),
        [],
      );
    });
  }

  it('are side by side if there is room, and one at a time otherwise', async () => {
    const frames = () => [...panel().shadowRoot!.querySelectorAll<PlotFrame>('plot-frame')];
    panel().style.width = '900px';
    await until('two plots', () => frames().length === 2);
    await until('numbers in both', () => frames().every(({ view }) => view.data.every(hasNumbers)));
    assert.deepEqual(
      frames().map(({ dataset }) => dataset['kind']),
      ['response', 'clipping'],
    );
    const sizeOf = (index: number) => frames()[index]!.shadowRoot!.querySelector('canvas')!;
    const second = frames()[1]!;
    second.shadowRoot!.querySelector<HTMLElement>('.plot')!.focus();
    const tab = panel().shadowRoot!.querySelector<HTMLElement>('#tab-1-clipping')!;
    tab.focus();
    const press = (key: string) =>
      (panel().shadowRoot!.activeElement ?? document.body).dispatchEvent(
        new KeyboardEvent('keydown', { key, bubbles: true, composed: true, cancelable: true }),
      );
    // A box that was clicked before has the focus, and no use for letters.
    const box = bench.shadowRoot!.querySelector('switch-panel')!.shadowRoot!.querySelector('input')!;
    const pressIn = (target: Element, key: string) =>
      target.dispatchEvent(
        new KeyboardEvent('keydown', { key, bubbles: true, composed: true, cancelable: true }),
      );
    await probe('clipped');
    pressIn(box, 'g');
    await until('one large plot', () => frames().length === 1);
    pressIn(document.body, 'Escape');
    await until('two small plots', () => frames().length === 2);
    assert.equal(bench.store.state.probe, 'clipped', 'the first Escape is for the plot');
    pressIn(document.body, 'Escape');
    assert.isUndefined(bench.store.state.probe);
    tab.focus();
    for (const back of ['g', 'Escape']) {
      press('g');
      await until('one large plot', () => frames().length === 1 && sizeOf(0).clientHeight > innerHeight / 2);
      const room = panel().shadowRoot!.querySelector('.room')!;
      const { width, height } = room.getBoundingClientRect();
      assert.deepEqual([width, height], [innerWidth, innerHeight]);
      assert.equal(room.getAttribute('role'), 'dialog');
      assert.equal(frames()[0]!.dataset['kind'], 'clipping');
      assert.equal(panel().shadowRoot!.activeElement?.id, 'tab-1-clipping');
      press(back);
      await until('two small plots', () => frames().length === 2 && sizeOf(0).clientHeight < innerHeight / 2);
      assert.equal(panel().shadowRoot!.activeElement?.id, 'tab-1-clipping');
      assert.isFalse(room.hasAttribute('role'));
    }
    panel().style.width = '360px';
    await until('one plot', () => frames().length === 1);
    const width = () => frames()[0]!.shadowRoot!.querySelector('.plot')!.scrollWidth;
    await until(`a plot no wider than the panel, which is ${width()} now`, () => width() <= 360);
  });

  it('use the space bar for A and B even while a plot has the focus', () => {
    inFrame('.plot').focus();
    inFrame('.plot').dispatchEvent(
      new KeyboardEvent('keydown', { key: ' ', bubbles: true, composed: true, cancelable: true }),
    );
    assert.equal(bench.store.state.heard, 'b');
  });
});

it('have for a plain preset the same THD as the command line’s function', async () => {
  const { harmonicsOf } = await import('../../engine/analysis/harmonics.ts');
  await openBench();
  await show('harmonics');
  const { distortionOfFundamental } = harmonicsOf(
    networkOf(presetNamed('soft-plain'), NOMINAL_TEMPERATURE_K),
    {
      hz: 440,
      peakV: 0.2,
    },
  );
  assert.include(text(), `A ${(100 * distortionOfFundamental).toPrecision(3)} %`);
  bench.remove();
});
