import axe from 'axe-core';
import { assert } from 'chai';
import type { ClipleadBench } from '../../ui/bench.ts';
import type { PlotsPanel } from '../../ui/components/plots/plots-panel.ts';
import { closeBench, openedBench } from './opened-bench.ts';
import { until } from './until.ts';
import '../../ui/main.ts';

let bench: ClipleadBench;

const plots = () => bench.shadowRoot?.querySelector('plots-panel') as PlotsPanel | null;
const dialog = () => plots()?.shadowRoot?.querySelector('spread-dialog')?.shadowRoot;
const text = () => (dialog()?.textContent ?? '').replace(/\s+/g, ' ');
const button = (words: string) =>
  [...(dialog()?.querySelectorAll('button') ?? [])].find((each) => each.textContent?.trim() === words);
const curves = () =>
  [...(plots()?.shadowRoot?.querySelectorAll('plot-frame') ?? [])].flatMap(({ view }) =>
    view.title.startsWith('Response') ? (view.bands ?? []) : [],
  );

describe('the spread of a build', () => {
  beforeEach(async () => {
    bench = await openedBench();
  });
  afterEach(() => closeBench(bench));

  it('is computed beside the page, is drawn behind the curve, names the parts, and its extremes go to A and B', async () => {
    await until('plots', () => plots()?.shadowRoot != null && dialog() != null);
    const open = [...(plots()!.shadowRoot?.querySelectorAll('button') ?? [])].find(
      (each) => each.textContent === 'Spread…',
    );
    open!.click();
    await bench.updateComplete;
    assert.isTrue(dialog()!.querySelector('dialog')!.open);
    button('Compute A')!.click();
    await until('spread', () => text().includes('builds in'));
    // The engine's tests say which parts these are.
    assert.match(text(), /For the tone measure C\d+/);
    assert.match(
      text(),
      /Tone: the swap to B changes it by [\d.]+ dB, .+ what another set of the same parts does \([\d.]+ dB\)/,
    );
    assert.match(text(), /Gain at 1 kHz ?[−\d.]+ dB/);
    assert.lengthOf(curves(), 2);
    // Clipping levels take longer, and can be left out.
    button('Cancel')!.click();
    await until('cancelled', () => button('Compute A') !== undefined);
    const { violations } = await axe.run(dialog()!.querySelector('dialog')!);
    assert.deepEqual(
      violations.map(({ id }) => id),
      [],
    );
    const before = bench.store.state.builds;
    const [, first, second] = /parts sets (\d+) and (\d+)/.exec(text()) ?? [];
    button('Hear the two most different')!.click();
    await bench.store.settled();
    const { a, b } = bench.store.state.builds;
    assert.deepEqual([a.partsSet?.number, b.partsSet?.number], [Number(first), Number(second)]);
    assert.deepEqual([a.parts, b.parts], [before.a.parts, before.a.parts]);
    // The bands are those of all sets of A's parts, whichever set is soldered.
    await until('bands of both', () => curves().length === 4);
    bench.store.act({ type: 'undo' });
    await bench.store.settled();
    assert.strictEqual(bench.store.state.builds.b, before.b);
    // Another part, and the bands would be those of another build.
    bench.store.act({ type: 'setPart', slot: 'a', ref: 'C3', setting: { value: '100n' } });
    await bench.store.settled();
    await until('no bands', () => curves().length === 0);
  });
});
