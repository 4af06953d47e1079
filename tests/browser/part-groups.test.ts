import { assert } from 'chai';
import type { ClipleadBench } from '../../ui/bench.ts';
import '../../ui/main.ts';
import { presetNamed } from '../../ui/state/presets.ts';
import { until } from './until.ts';

let bench: ClipleadBench;

const card = () => bench.shadowRoot!.querySelector('part-card')!.shadowRoot!;
const picker = () => card().querySelector('group-picker')!.shadowRoot!;
const types = () => ['D1', 'D2', 'D3'].map((ref) => bench.store.state.builds.a.parts[ref]?.type).join(' ');
const together = () =>
  [...bench.shadowRoot!.querySelector('build-schematic')!.shadowRoot!.querySelectorAll('.part.together')]
    .map((part) => part.getAttribute('data-ref'))
    .join(' ');

/** Chooses a type from the menu of the card. */
function choose(type: string): void {
  const menu = card().querySelector<HTMLSelectElement>('[aria-label="Type of D1 in A"]')!;
  menu.value = type;
  menu.dispatchEvent(new Event('change', { bubbles: true }));
}

/** Chooses what changes together, by its words, and waits until the card shows it. */
async function reach(words: string): Promise<void> {
  const labels = [...picker().querySelectorAll('label')];
  labels
    .find((label) => label.textContent?.trim() === words)!
    .querySelector('input')!
    .click();
}

describe('parts that are changed together', () => {
  beforeEach(async () => {
    localStorage.clear();
    bench = document.createElement('cliplead-bench') as ClipleadBench;
    document.body.append(bench);
    // Not what a test before has left to be kept.
    for (const slot of ['a', 'b'] as const)
      bench.store.act({ type: 'load', slot, build: presetNamed('soft-plain') });
    bench.store.act({ type: 'select', ref: 'D1' });
    await bench.store.settled();
    assert.equal(types(), '1N4148 1N4148 1N4148');
    await until(
      'the card',
      () =>
        bench.shadowRoot
          ?.querySelector('part-card')
          ?.shadowRoot?.querySelector('group-picker')
          ?.shadowRoot?.querySelector('.segments') != null,
    );
  });

  afterEach(async () => {
    await bench.session.stop();
    bench.remove();
    localStorage.clear();
  });

  it('are the clipping pair by default, and one swap to undo', async () => {
    await until('the pair', () => together() === 'D2');
    choose('OA91');
    await until('both', () => types() === 'OA91 OA91 1N4148');
    bench.store.act({ type: 'undo' });
    await until('both back', () => types() === '1N4148 1N4148 1N4148');
  });

  it('are one part if it alone is asked for, also with the arrow keys', async () => {
    await reach('D1 alone');
    await until('no pair', () => together() === '');
    choose('OA91');
    await until('one', () => types() === 'OA91 1N4148 1N4148');
    await reach('D1 to D3');
    await until(
      'a mixture',
      () => card().querySelector('.slot.a h4')?.textContent === 'D1 OA91, D2 1N4148, D3 1N4148',
    );
    [...card().querySelectorAll<HTMLElement>('.slot.a button')]
      .find((button) => button.textContent === 'D2 and D3 like D1')!
      .click();
    await until('all', () => types() === 'OA91 OA91 OA91');
    document.body.dispatchEvent(
      new KeyboardEvent('keydown', { key: 'ArrowDown', bubbles: true, composed: true }),
    );
    await until('the next type at all three', () => {
      const [first, ...others] = types().split(' ');
      return first !== 'OA91' && others.every((type) => type === first);
    });
  });

  it('are a group that the builder makes, which is refused with the reason or kept with the build', async () => {
    picker().querySelector<HTMLElement>('button[aria-expanded]')!.click();
    await until('the form', () => picker().querySelector('form') !== null);
    const form = picker().querySelector('form')!;
    form.requestSubmit();
    await until('the reason', () =>
      /at least one part/.test(picker().querySelector('.problem')?.textContent ?? ''),
    );
    form.querySelector<HTMLInputElement>('input[value="D3"]')!.click();
    form.requestSubmit();
    await until('the group', () => together() === 'D3');
    choose('BAT46');
    await until('both', () => types() === 'BAT46 1N4148 BAT46');
    assert.deepEqual(bench.store.state.builds.b.groups, [
      { name: 'my group 1', parts: ['D1', 'D3'], isUsual: true },
    ]);
  });
});
