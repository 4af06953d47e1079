import { assert } from 'chai';
import type { ClipleadBench } from '../../ui/bench.ts';
import '../../ui/main.ts';
import { presetNamed } from '../../ui/state/presets.ts';
import { until } from './until.ts';

let bench: ClipleadBench;

const card = () => bench.shadowRoot!.querySelector('part-card')?.shadowRoot;
const details = () => card()?.querySelector('details');
const choice = () => card()?.querySelector('diode-capacitance')?.shadowRoot;
const text = () => choice()?.textContent?.replace(/\s+/g, ' ') ?? '';

describe('the capacitance of an LED', () => {
  beforeEach(async () => {
    localStorage.clear();
    bench = document.createElement('cliplead-bench') as ClipleadBench;
    document.body.append(bench);
    bench.store.act({ type: 'load', slot: 'a', build: presetNamed('soft-led') });
    bench.store.act({ type: 'select', ref: 'D1' });
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

  it('is chosen on the card, which says what low against high changes', async () => {
    await until('the effect', () => /changes a quiet signal below 6 kHz by up to −\d\.\d+ dB;/.test(text()));
    const menu = choice()!.querySelector('select')!;
    menu.value = 'high';
    menu.dispatchEvent(new Event('change'));
    await until('the swap', () => bench.store.state.builds.a.parts['D1']?.capacitance === 'high');
    bench.store.act({ type: 'undo' });
    await until('the usual one', () => bench.store.state.builds.a.parts['D1']?.capacitance === undefined);
  });

  it('is no choice where it is known, and goes with the type', async () => {
    const setting = { type: 'LED-red', capacitance: 'low' } as const;
    bench.store.act({ type: 'setPart', slot: 'a', ref: 'D1', setting });
    await until('the swap', () => bench.store.state.builds.a.parts['D1']?.capacitance === 'low');
    const types = bench
      .shadowRoot!.querySelector('part-card')!
      .shadowRoot!.querySelector<HTMLSelectElement>('select[aria-label="Type of D1 in A"]')!;
    types.value = '1N4148';
    types.dispatchEvent(new Event('change'));
    await until('the other type', () => bench.store.state.builds.a.parts['D1']?.type === '1N4148');
    assert.notProperty(bench.store.state.builds.a.parts['D1'], 'capacitance');
    await until('no choice', () => choice()?.querySelector('select') == null);
  });
});
