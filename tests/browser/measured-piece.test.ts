import { assert } from 'chai';
import { typeName } from '../../engine/parts/piece.ts';
import type { ClipleadBench } from '../../ui/bench.ts';
import '../../ui/main.ts';
import { presetNamed } from '../../ui/state/presets.ts';
import { until } from './until.ts';

let bench: ClipleadBench;

const card = () => bench.shadowRoot!.querySelector('part-card')!.shadowRoot!;
const slot = () => card().querySelector('[aria-label="Details of D1 in build A"]')!;
const form = () => slot().querySelector('piece-form')!.shadowRoot!;
const menu = () => card().querySelector<HTMLSelectElement>('[aria-label="Type of D1 in A"]')!;
const status = () => form().querySelector('.result')!.textContent!.replace(/\s+/g, ' ').trim();
const putButton = () =>
  [...form().querySelectorAll('button')].find(({ textContent }) => textContent === 'Put it in')!;
const names = () =>
  ['D1', 'D2'].map((ref) => typeName(bench.store.state.builds.a.parts[ref]?.type ?? '')).join(' ');

/** Types into a field, as a keyboard does. */
function type(name: string, text: string): void {
  const field = form().querySelector<HTMLInputElement>(`[name="${name}"]`)!;
  field.value = text;
  field.dispatchEvent(new Event('input', { bubbles: true, composed: true }));
}

function pressAdd(): void {
  [...slot().querySelectorAll('button')]
    .find(({ textContent }) => textContent === 'Add a measured piece…')!
    .click();
}

describe('a piece that the builder has measured', () => {
  before(async () => {
    localStorage.clear();
    bench = document.createElement('cliplead-bench') as ClipleadBench;
    document.body.append(bench);
    bench.store.act({ type: 'load', slot: 'a', build: presetNamed('soft-germanium') });
    bench.store.act({ type: 'select', ref: 'D1' });
    await bench.store.settled();
    await until(
      'the form',
      () => bench.shadowRoot?.querySelector('part-card')?.shadowRoot?.querySelector('piece-form') != null,
    );
  });

  after(() => bench.remove());

  it('shows the error of its fit while the points are typed', async () => {
    pressAdd();
    await until('the dialog', () => form().querySelector('dialog')!.open);
    type('name', 'my OA91');
    type('0 current', '10 µA');
    type('0 voltage', '155 mV');
    type('1 current', '100u');
    type('1 voltage', '0.15');
    await until('a reason', () => /point 2 does not rise/.test(status()));
    assert.isTrue(putButton().disabled);
    type('1 voltage', '0.215');
    type('2 current', '1 mA');
    type('2 voltage', '291m');
    type('reverse current', '1.1 µA');
    type('reverse voltage', '1.5');
    await until('the misses', () => /at 1 mA\s*291 mV\s*29\d mV/.test(status()));
    assert.match(status(), /reverse at 1\.5 V\s*1\.1 µA\s*1\.1 µA\s*0\.0 %/);
    assert.isFalse(putButton().disabled);
  });

  it('is put in at its group, stays on the list of types, and is undone', async () => {
    putButton().click();
    await bench.store.settled();
    assert.equal(names(), 'my OA91 my OA91');
    await until('an empty form', () => form().querySelectorAll('input').length === 0);
    await until('its name', () => /my OA91/.test(menu().selectedOptions[0]?.textContent ?? ''));
    const group = menu().querySelector('optgroup[label="measured pieces"]');
    assert.equal(group?.querySelectorAll('option').length, 1);
    menu().value = '1N4148';
    menu().dispatchEvent(new Event('change', { bubbles: true }));
    await bench.store.settled();
    assert.equal(names(), '1N4148 1N4148');
    assert.equal(bench.store.state.builds.a.pieces?.length, 1);
    bench.store.act({ type: 'undo' });
    await bench.store.settled();
    assert.equal(names(), 'my OA91 my OA91');
    bench.store.act({ type: 'undo' });
    await bench.store.settled();
    assert.equal(names(), '1N34A 1N34A');
  });

  it('can be an end of the spread of a type', async () => {
    const ends = () => card().querySelector<HTMLSelectElement>('[aria-label="Piece of D1 in A"]')!;
    await until('the menu of ends', () => ends()?.value === '1N34A');
    ends().value = '1N34A low';
    ends().dispatchEvent(new Event('change', { bubbles: true }));
    await bench.store.settled();
    assert.equal(names(), '1N34A low 1N34A low');
    await until('the type', () => menu().value === '1N34A');
  });
});
