import axe from 'axe-core';
import { assert } from 'chai';
import type { ClipleadBench } from '../../ui/bench.ts';
import { stillPicture } from '../../ui/ear/still-picture.ts';
import '../../ui/main.ts';
import { benchDrawn, openedBench } from './opened-bench.ts';
import { until } from './until.ts';

let bench: ClipleadBench;

const drawn = () => benchDrawn(bench);

function panel(name: string): ShadowRoot {
  const root = bench.shadowRoot?.querySelector('ear-room')?.shadowRoot?.querySelector(name)?.shadowRoot;
  if (!root) throw new Error(`the room has no ${name}`);
  return root;
}

function press(root: ShadowRoot, words: string): void {
  const button = [...root.querySelectorAll('button')].find(
    ({ textContent }) => textContent?.trim() === words,
  );
  if (!button) throw new Error(`there is no button "${words}"`);
  button.click();
}

/** Half a second of a low E, in volts, as a riff that plays. */
function playShortRiff(): void {
  const sampleRateHz = 48_000;
  const samples = Float32Array.from(
    { length: sampleRateHz / 2 },
    (_, n) => 0.2 * Math.sin((2 * Math.PI * 82.4 * n) / sampleRateHz) * Math.exp(-n / sampleRateHz),
  );
  const riff = {
    id: 'e',
    name: 'E',
    sampleRateHz,
    samples,
    startFrame: 0,
    endFrame: samples.length - 480,
    clips: 0,
  };
  bench.store.act({ type: 'ear', change: { riffs: [riff] } });
  bench.store.act({ type: 'source', source: { kind: 'riff', id: 'e' } });
}

describe('rendering by ear', () => {
  beforeEach(async () => {
    bench = await openedBench();
    bench.store.act({ type: 'view', view: 'ear' });
    await drawn();
    playShortRiff();
    await drawn();
  });
  afterEach(() => bench.remove());

  it('finds no difference between two equal builds, and a difference between different ones', async () => {
    const text = () => panel('difference-panel').textContent ?? '';
    bench.store.act({ type: 'copy', from: 'a', to: 'b' });
    await drawn();
    press(panel('difference-panel'), 'Compare A and B on what plays');
    await until('a comparison', () => /octave/.test(text()));
    assert.match(text(), /louder by\s+0\.0 dB/);
    assert.match(text(), /remains of A is\s+(−\d{3,}\.\d|-?−?Infinity) dB/);
    bench.store.act({ type: 'setPart', slot: 'b', ref: 'D1', setting: { type: 'LED-red' } });
    await drawn();
    assert.include(text(), 'A build has changed since');
    press(panel('difference-panel'), 'Compare A and B on what plays');
    await until('a shallower null', () => /remains of A is\s+−\d{1,2}\.\d dB/.test(text()));
  });

  it('ranks candidates, and loads the chosen one into B', async () => {
    const root = panel('rank-panel');
    const field = root.querySelector<HTMLInputElement>('.candidates');
    if (field) field.value = 'LED-red, 1N4001, 1N914';
    press(root, 'Rank');
    await until('the ranking', () => root.querySelectorAll('td button').length === 3);
    const rows = [...root.querySelectorAll('tbody tr')].map(({ textContent }) => textContent?.trim() ?? '');
    const starts = [
      /^No verdict: pieces of one type/,
      /^1N4148, now/,
      /^another piece, low/,
      /^another piece, high/,
      // One curve for the class of small switching diodes.
      /^1N914/,
      /^Differ more than pieces do/,
      // An LED needs three times the voltage of a silicon diode.
      /^LED-red/,
      /^Not ranked/,
      // No document gives a second point of its curve.
      /^1N4001/,
    ];
    for (const [index, start] of starts.entries()) assert.match(rows[index] ?? '', start);
    assert.lengthOf(rows, starts.length);
    root.querySelector<HTMLElement>('[aria-label="Put LED-red into B and hear it"]')?.click();
    assert.equal(bench.store.state.builds.b.parts['D1']?.type, 'LED-red');
    assert.equal(bench.store.state.heard, 'b');
  });

  it('says in a sentence why candidates cannot be tried', async () => {
    const root = panel('rank-panel');
    const field = root.querySelector<HTMLInputElement>('.candidates');
    if (field) field.value = 'nonsense';
    press(root, 'Rank');
    await until('a reason', () => root.querySelector('[role="alert"]') !== null);
    assert.match(root.querySelector('[role="alert"]')?.textContent ?? '', /D1.*nonsense/);
  });

  it('renders an excerpt that alternates A and B with its text, and stops when it is told to', async () => {
    const root = panel('excerpt-panel');
    press(root, 'Make excerpt');
    await drawn();
    press(root, 'Cancel');
    await until('an end', () =>
      [...root.querySelectorAll('button')].some((b) => b.textContent === 'Make excerpt'),
    );
    assert.notExists(root.querySelector('pre'));
    press(root, 'Make excerpt');
    await until('the excerpt', () => root.querySelector('pre') !== null);
    assert.match(root.querySelector('pre')?.textContent ?? '', /0:00\.0 to 0:00\.5 {2}A {2}Plain build/);
  });

  it('draws a picture with both builds', async () => {
    const bitmap = await createImageBitmap(await stillPicture(bench.store.state, true));
    const canvas = new OffscreenCanvas(bitmap.width, bitmap.height);
    const context = canvas.getContext('2d')!;
    context.drawImage(bitmap, 0, 0);
    const { data } = context.getImageData(0, 0, bitmap.width, bitmap.height);
    const count = (red: number, green: number, blue: number) => {
      let found = 0;
      for (let n = 0; n < data.length; n += 4)
        if (Math.abs(data[n]! - red) + Math.abs(data[n + 1]! - green) + Math.abs(data[n + 2]! - blue) < 30)
          found++;
      return found;
    };
    assert.isAbove(count(0x1d, 0x1c, 0x1a), 2000, 'ink');
    assert.isAbove(count(0x00, 0x72, 0xb2), 500, 'A');
    assert.isAbove(count(0xd5, 0x5e, 0x00), 500, 'B');
  });

  it('has no accessibility violations', async () => {
    const { violations } = await axe.run(bench, { resultTypes: ['violations'] });
    assert.deepEqual(
      violations.flatMap(({ id, nodes }) => nodes.map(({ target }) => `${id}: ${target}`)),
      [],
    );
  });
});
