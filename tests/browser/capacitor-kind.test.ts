import { assert } from 'chai';
import type { ClipleadBench } from '../../ui/bench.ts';
import '../../ui/main.ts';
import { presetNamed } from '../../ui/state/presets.ts';
import { until } from './until.ts';

let bench: ClipleadBench;

const card = () => bench.shadowRoot!.querySelector('part-card')?.shadowRoot;
const details = () => card()?.querySelector('details');
const choice = () => card()?.querySelector('capacitor-kind')?.shadowRoot;
const text = () => choice()?.textContent?.replace(/\s+/g, ' ') ?? '';

describe('what a capacitor is made of', () => {
  beforeEach(async () => {
    localStorage.clear();
    bench = document.createElement('cliplead-bench') as ClipleadBench;
    document.body.append(bench);
    bench.store.act({ type: 'load', slot: 'a', build: presetNamed('soft-plain') });
    bench.store.act({ type: 'select', ref: 'C1' });
    await bench.store.settled();
    await until('the card', () => details() != null);
    // It computes an effect, so it is only there while it can be seen.
    assert.isUndefined(choice());
    await until('the choice', () => {
      details()!.open = true;
      return choice()?.querySelector('select') != null;
    });
  });
  afterEach(() => bench.remove());

  it('is chosen on the card, which says what it changes, and is undone', async () => {
    const menu = choice()!.querySelector('select')!;
    menu.value = 'X5R-small';
    menu.dispatchEvent(new Event('change'));
    await until('the swap', () => bench.store.state.builds.a.parts['C1']?.dielectric === 'X5R-small');
    // tests/unit/capacitor-kinds.test.ts has the same change from a first-order high-pass.
    await until('its effect', () => /changes the response by up to −3\.2 dB, at 20 Hz\./.test(text()));
    bench.store.act({ type: 'undo' });
    await until('the ideal one', () => bench.store.state.builds.a.parts['C1']?.dielectric === undefined);
    await until('no effect', () => !text().includes('changes the response'));
  });

  it('is said to change nothing where it does not', async () => {
    bench.store.act({ type: 'setPart', slot: 'a', ref: 'C1', setting: { value: '22n', dielectric: 'film' } });
    await until('the effect', () => text().includes('changes the response by less than 0.1 dB.'));
  });
});
