import axe from 'axe-core';
import { assert } from 'chai';
import { readDrawer } from '../../engine/builds/drawer-file.ts';
import type { ClipleadBench } from '../../ui/bench.ts';
import type { OrderList } from '../../ui/components/order-list.ts';
import '../../ui/main.ts';
import { loadDrawer } from '../../ui/state/kept-drawer.ts';
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

  it('subtracts the drawer, which is filled by lines as on bags, kept, and can restrict what is offered', async () => {
    button(list().shadowRoot, 'Drawer…').click();
    await benchDrawn(bench);
    const dialog = () => list().shadowRoot!.querySelector('drawer-dialog')!.shadowRoot!;
    const type = async (line: string) => {
      const field = dialog().querySelector<HTMLInputElement>('.line')!;
      field.value = line;
      field.dispatchEvent(new Event('input', { bubbles: true, composed: true }));
      await benchDrawn(bench);
    };
    const said = () => dialog().querySelector('[role="status"]')!.textContent!.replace(/\s+/g, ' ').trim();
    await type('104');
    assert.match(said(), /104 alone can be a resistor or a capacitor/);
    assert.isTrue(button(dialog(), 'Add').disabled);
    for (const [line, understood] of [
      ['2x 10k 1% 0.25W metal film', '2 × 10k resistor, 1 %, 0.25 W, metal film'],
      ['50 1N4148 DO-35', '50 × 1N4148 diode (not used: DO-35)'],
      ['1 red LED', '1 × LED-red diode'],
    ] as const) {
      await type(line);
      assert.equal(said(), understood);
      button(dialog(), 'Add').click();
      await benchDrawn(bench);
    }
    const { violations } = await axe.run(bench, { resultTypes: ['violations'] });
    assert.deepEqual(
      violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ target }) => target)}`),
      [],
    );
    dialog().querySelector<HTMLInputElement>('input[type="checkbox"]')!.click();
    await benchDrawn(bench);
    button(dialog(), 'Close').click();
    await benchDrawn(bench);
    assert.include(row('10k'), 'own 2, buy 4');
    assert.include(row('1N4148'), 'owned');
    const card = bench.shadowRoot!.querySelector('part-card')!.shadowRoot!;
    const types = [...card.querySelectorAll<HTMLSelectElement>('.slot.a select[aria-label^="Type"] option')];
    // D1 and D2 change together, and there is one red LED.
    assert.deepEqual(
      types.map(({ value }) => value),
      ['1N4148'],
    );
    assert.include(card.textContent!.replace(/\s+/g, ' '), 'LED-red diode: this build needs 2, you own 1.');
    await until('the drawer is kept', () => loadDrawer().isOnly);
    assert.lengthOf(loadDrawer().items, 3);
  });

  it('takes a file after showing what it holds, and says which lines it cannot use', async () => {
    button(list().shadowRoot, 'Drawer…').click();
    await benchDrawn(bench);
    const dialog = list().shadowRoot!.querySelector('drawer-dialog')!.shadowRoot!;
    const files = new DataTransfer();
    files.items.add(new File(['count,value,kind\n5,4k7,resistor\n3,foo,diode\n'], 'mine.csv'));
    const input = dialog.querySelector<HTMLInputElement>('input[type="file"]')!;
    input.files = files.files;
    input.dispatchEvent(new Event('change'));
    const group = () => dialog.querySelector('[aria-label="File"]')?.textContent?.replace(/\s+/g, ' ') ?? '';
    await until('what the file holds', () => group().includes('1 bag, and 1 line that cannot be used'));
    assert.match(group(), /Line 3: .*foo/);
    assert.lengthOf(bench.store.state.drawer.items, 3);
    button(dialog, 'Add to the drawer').click();
    await benchDrawn(bench);
    assert.lengthOf(bench.store.state.drawer.items, 4);
    button(dialog, 'Close').click();
  });

  it('puts a pair that makes a missing value into the build, and undo takes it out', async () => {
    const items = readDrawer('2x 100n film 63V\n4x 120n film 63V\n1x 2k2\n1x 2k4').items;
    bench.store.act({ type: 'drawer', drawer: { items, isOnly: false } });
    await benchDrawn(bench);
    // C5 and C6 have 220n; C8 and C13 take both 100n.
    assert.include(row('220n'), 'instead: 2 times 120n and 120n in parallel (9.1 % high)');
    // R4 has 4k7; 2k4 and 2k2 add up to 4k6.
    assert.include(row('4k7'), 'instead: 2k4 and 2k2 in series (2.1 % low)');
    button(list().shadowRoot, 'Put in at C5, C6 as piggyback').click();
    const { store } = bench;
    const at = (ref: string) => store.state.builds.a.parts[ref];
    await until('the pair', () => at('C6')?.piggyback === '120n');
    assert.deepInclude(at('C5'), { value: '120n', piggyback: '120n' });
    await benchDrawn(bench);
    assert.include(row('120n'), 'owned');
    button(list().shadowRoot, 'Put in at R4 as 4k6').click();
    await until('the sum', () => at('R4')?.value === '4k6');
    await benchDrawn(bench);
    assert.include(row('4k6'), 'R4: solder both in series; the build stays as it is.');
    store.act({ type: 'undo' });
    store.act({ type: 'undo' });
    await until('the build as it was', () => at('C5')?.value === '220n' && at('R4')?.value === '4k7');
    assert.isUndefined(at('C6')?.piggyback);
  });
});
