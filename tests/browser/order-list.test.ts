import { assert } from 'chai';
import type { ClipleadBench } from '../../ui/bench.ts';
import type { OrderList } from '../../ui/components/order-list.ts';
import '../../ui/main.ts';
import { benchDrawn, closeBench, openedBench } from './opened-bench.ts';
import { until } from './until.ts';

let bench: ClipleadBench;

const button = (root: ShadowRoot | null | undefined, text: string) =>
  [...(root?.querySelectorAll('button') ?? [])].find((each) => each.textContent?.trim() === text)!;
const list = () => bench.shadowRoot!.querySelector('order-list') as OrderList;
const rows = () =>
  [...list().shadowRoot!.querySelectorAll('tr.row')].map((row) =>
    (row.textContent ?? '').replace(/\s+/g, ' ').trim(),
  );
const row = (part: string) => rows().find((text) => text.includes(part)) ?? '';

async function choose(title: string): Promise<void> {
  const label = [...list().shadowRoot!.querySelectorAll('label')].find(
    (each) => each.textContent?.trim() === title,
  );
  label!.querySelector('input')!.click();
  await benchDrawn(bench);
}

describe('the parts list', () => {
  before(async () => {
    bench = await openedBench();
    button(bench.shadowRoot, 'Parts list').click();
    await benchDrawn(bench);
  });
  after(() => closeBench(bench));

  it('counts equal parts together, with the rating that each needs, bands, and the positions of the knobs for paper', async () => {
    assert.match(row('1N4148'), /^3 × 1N4148 diode D1, D2, D3/);
    // 9 V from an adapter without load is 12.6 V, with its margin 15.75 V.
    await until('a rating', () => row('100u').includes('16 V'));
    assert.match(row('10k'), /^6 × 10k resistor 0.25 W R3, R5, R8, R13, R15, R16/);
    const bands = [...list().shadowRoot!.querySelectorAll('svg.bands')].map((each) =>
      each.getAttribute('aria-label'),
    );
    assert.include(bands, '4 bands: yellow violet red gold');
    const heading = list().shadowRoot!.querySelector('.heading')!.textContent!;
    assert.include(heading.replace(/\s+/g, ' '), 'gain 12:00, tone 12:00, output 1:00, clipping symmetric');
  });

  it('of a swap has only what B has and A has not', async () => {
    await choose('A to B');
    assert.lengthOf(rows(), 1);
    assert.match(rows()[0]!, /^2 × LED-red diode D1, D2/);
  });

  it('keeps its ratings while a knob turns, and computes them anew for another supply', async () => {
    await choose('A');
    await until('a rating', () => row('100u').includes('16 V'));
    bench.store.act({ type: 'turnKnob', slot: 'a', name: 'gain', rotation: 0.9 });
    await benchDrawn(bench);
    assert.include(row('100u'), '16 V');
    bench.store.act({ type: 'setPart', slot: 'a', ref: 'V1', setting: { value: '18V' } });
    await bench.store.settled();
    await until('the rating at 18 V', () => row('100u').includes('35 V'));
  });
});
