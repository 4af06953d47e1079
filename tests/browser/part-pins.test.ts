import { assert } from 'chai';
import type { ClipleadBench } from '../../ui/bench.ts';
import '../../ui/main.ts';
import { presetNamed } from '../../ui/state/presets.ts';
import { until } from './until.ts';

let bench: ClipleadBench;

const pins = () =>
  bench.shadowRoot?.querySelector('part-card')?.shadowRoot?.querySelector('.slot.a part-pins')?.shadowRoot;
const drawings = () => [...(pins()?.querySelectorAll('svg') ?? [])];
/** Letters of a drawing from left to right. */
const letters = (drawing: SVGElement) =>
  [...drawing.querySelectorAll('text')]
    .sort((one, other) => one.getBoundingClientRect().left - other.getBoundingClientRect().left)
    .map((text) => text.textContent)
    .join(' ')
    .trim();
const warning = () => pins()?.querySelector('.problem')?.textContent ?? '';

async function choose(ref: string, type?: string): Promise<void> {
  bench.store.act({ type: 'select', ref });
  if (type !== undefined) bench.store.act({ type: 'setPart', slot: 'a', ref, setting: { type } });
  await bench.store.settled();
  await until(`${type} in the card`, () => {
    const shown = drawings().at(-1)?.getAttribute('aria-label') ?? '';
    return shown.startsWith(`${type ?? bench.store.state.builds.a.parts[ref]?.type},`);
  });
}

describe('the legs of a part, in its card', () => {
  beforeEach(() => {
    localStorage.clear();
    bench = document.createElement('cliplead-bench') as ClipleadBench;
    document.body.append(bench);
    for (const slot of ['a', 'b'] as const)
      bench.store.act({ type: 'load', slot, build: presetNamed('soft-plain') });
  });

  afterEach(async () => {
    await bench.session.stop();
    bench.remove();
    localStorage.clear();
  });

  it('are drawn once as long as nothing is swapped, and then beside those of the part that was there', async () => {
    await choose('Q1');
    assert.deepEqual(drawings().map(letters), ['E B C']);
    await choose('Q1', 'BC550C');
    assert.deepEqual(drawings().map(letters), ['E B C', 'C B E']);
    assert.include(pins()!.textContent, 'turn it round, flat side the other way.');
    assert.equal(warning(), '', 'a turn is no other footprint');
  });

  it('are warned of where they cross, and where the case is another one', async () => {
    await choose('Q2', '2SC1815');
    assert.deepEqual(drawings().map(letters), ['E B C', 'E C B']);
    assert.include(warning(), 'cross C and B, with a sleeve.');
    await choose('D1', 'LED-red');
    assert.include(warning(), 'flat side and short leg (cathode) where the band was.');
    await choose('U1', 'NE5534');
    assert.include(warning(), 'two of them on an adapter');
  });

  it('have the anode and cathode of a diode at the ends that its band names', async () => {
    await choose('D1');
    const [drawing] = drawings();
    assert.equal(letters(drawing!), 'A K');
    const middle = (part: Element) =>
      part.getBoundingClientRect().left + part.getBoundingClientRect().width / 2;
    const [body, band] = [drawing!.querySelector('.body')!, drawing!.querySelector('.mark')!];
    assert.isAbove(middle(band), middle(body), 'the band is at the cathode');
    assert.include(drawing!.getAttribute('aria-label'), 'the band is the cathode');
  });

  it('stay inside their column, each letter in sight', async () => {
    for (const [ref, type] of [
      ['Q1', '2N2222'],
      ['D3', 'AC128 base-emitter'],
      ['D2', '2N7000 gate to drain'],
      ['D1', 'BAT54'],
      ['U1', 'NE5534'],
    ] as const) {
      await choose(ref, type);
      const column = pins()!.host.getBoundingClientRect();
      for (const drawing of drawings()) {
        const sheet = drawing.getBoundingClientRect();
        assert.isAtMost(sheet.right, column.right + 1, type);
        for (const text of drawing.querySelectorAll('text')) {
          if (text.textContent === '') continue;
          const { left, right, top, bottom } = text.getBoundingClientRect();
          const where = `${type}: ${text.textContent}`;
          assert.isAtLeast(left, sheet.left - 1, where);
          assert.isAtMost(right, sheet.right + 1, where);
          assert.isAtLeast(top, sheet.top - 3, where);
          assert.isAtMost(bottom, sheet.bottom + 3, where);
        }
      }
    }
  });
});
