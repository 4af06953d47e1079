import { assert } from 'chai';
import { typeName } from '../../engine/parts/piece.ts';
import type { ClipleadBench } from '../../ui/bench.ts';
import '../../ui/main.ts';
import { presetNamed } from '../../ui/state/presets.ts';
import { until } from './until.ts';

let bench: ClipleadBench;

const card = () => bench.shadowRoot!.querySelector('part-card')!.shadowRoot!;
const menu = () => card().querySelector<HTMLSelectElement>('[aria-label="Type of D1 in A"]')!;
const dialog = () => bench.shadowRoot!.querySelector('measured-parts')!.shadowRoot!;
const list = () => dialog().querySelector('measured-list')!.shadowRoot!;
const text = (root: ParentNode, selector: string) =>
  (root.querySelector(selector)?.textContent ?? '').replace(/\s+/g, ' ').trim();
const status = () => text(dialog(), '.result');
const buttonIn = (root: ParentNode, title: string) =>
  [...root.querySelectorAll('button')].find(({ textContent }) => textContent?.trim() === title)!;
const labelled = (label: string) => list().querySelector<HTMLButtonElement>(`[aria-label="${label}"]`)!;
const names = () =>
  ['D1', 'D2'].map((ref) => typeName(bench.store.state.builds.a.parts[ref]?.type ?? '')).join(' ');

/** Types into a field, as a keyboard does. */
function type(name: string, value: string): void {
  const field = dialog().querySelector<HTMLInputElement>(`[name="${name}"]`)!;
  field.value = value;
  field.dispatchEvent(new Event('input', { bubbles: true, composed: true }));
}

function choose(name: string, value: string): void {
  const field = dialog().querySelector<HTMLSelectElement>(`[name="${name}"]`)!;
  field.value = value;
  field.dispatchEvent(new Event('change', { bubbles: true, composed: true }));
}

async function keep(readings: readonly [string, string, string]): Promise<void> {
  for (const [index, volts] of readings.entries()) type(`${index} volts`, volts);
  await until('the fit', () => /at 1\.0\d mA/.test(status()));
  const before = bench.store.state.measured.length;
  buttonIn(dialog(), 'Keep this part').click();
  await until('the kept part', () => bench.store.state.measured.length === before + 1);
  await until('empty readings', () => /Type what the meter shows/.test(status()));
}

describe('parts that the builder has measured', () => {
  before(async () => {
    localStorage.clear();
    bench = document.createElement('cliplead-bench') as ClipleadBench;
    document.body.append(bench);
    bench.store.act({ type: 'load', slot: 'a', build: presetNamed('soft-germanium') });
    bench.store.act({ type: 'select', ref: 'D1' });
    await bench.store.settled();
    await until(
      'the card',
      () => bench.shadowRoot?.querySelector('part-card')?.shadowRoot?.querySelector('details') != null,
    );
    // A busy machine still shows the part of the build before.
    await bench.updateComplete;
  });

  after(() => bench.remove());

  it('are fitted while the readings are typed, with one line for what is wrong', async () => {
    card().querySelector('details')!.open = true;
    await until('the button', () => buttonIn(card(), 'Measured parts…') !== undefined);
    buttonIn(card(), 'Measured parts…').click();
    await until('the dialog', () => dialog().querySelector('dialog')!.open);
    assert.equal(dialog().querySelector<HTMLSelectElement>('[name="like"]')!.value, '1N34A');
    type('supply', '9,21');
    type('0 volts', '0,155');
    type('1 volts', '0.125');
    await until('a reason', () => /125 mV with 82k is not above 155 mV of 820k/.test(status()));
    assert.isTrue(buttonIn(dialog(), 'Keep this part').disabled);
    type('1 volts', '0.215');
    type('2 volts', '291 mV');
    type('reverse volts', '0.82');
    await until('the misses', () => /at 1\.09 mA\s*291 mV\s*29\d mV/.test(status()));
    assert.match(status(), /reverse at 8\.39 V\s*1\.08 µA\s*1\.08 µA\s*0\.0 %/);
    assert.match(status(), /Looks like germanium: \d\d %\./);
    assert.equal(dialog().querySelectorAll('svg.fit circle').length, 3);
  });

  it('are kept by number, paired, and put at one place', async () => {
    await keep(['0.155', '0.215', '0.291']);
    await keep(['0.165', '0.225', '0.301']);
    await keep(['0.156', '0.216', '0.292']);
    assert.equal(dialog().querySelector<HTMLInputElement>('[name="supply"]')!.value, '9,21');
    await until('the pairs', () =>
      /Nearest: 1N34A no\. 1 and 1N34A no\. 3, [01]\.\d mV/.test(text(list(), '.pairs')),
    );
    assert.match(text(list(), '.pairs'), /Most unlike: 1N34A no\. 1 and 1N34A no\. 2/);
    assert.match(localStorage.getItem('cliplead-measured-parts') ?? '', /1N34A no\. 3/);
    labelled('Put 1N34A no. 2 at D1 in A').click();
    await bench.store.settled();
    assert.equal(names(), '1N34A no. 2 1N34A');
    await until('where it stands', () => /1N34A no\. 2 .*A: D1/.test(text(list(), 'li:nth-child(2)')));
    labelled('Remove 1N34A no. 2').click();
    await until('that it is gone', () => bench.store.state.measured.length === 2);
    await until('a way back', () => buttonIn(list(), 'Put back') !== undefined);
    buttonIn(list(), 'Put back').click();
    await until('that it is back', () => bench.store.state.measured.length === 3);
  });

  it('are of other kinds too', async () => {
    choose('kind', 'pot');
    await until('its fields', () => dialog().querySelector('[name="ends"]') !== null);
    type('like', '100k');
    type('ends', '94k');
    type('middle', '13k');
    await until('the taper', () => /^audio 15 %, −6\.0 % of 100k/.test(status()));
    choose('kind', 'nJfet');
    await until('its fields', () => dialog().querySelector('[name="idss"]') !== null);
    type('supply', '9');
    type('idss', '0.6 mA');
    type('cutoff', '0.6');
    await until('the law', () =>
      /square law, drain current = 1\.\d+ mA\/V² · \(gate voltage \+ 0\.62 V\)²/.test(status()),
    );
    buttonIn(dialog(), 'Close').click();
    await until('no form', () => dialog().querySelector('form') === null);
  });

  it('stand among the types of the card', async () => {
    await until(
      'the kept ones',
      () => menu().querySelectorAll('optgroup[label="measured pieces"] option').length === 3,
    );
    menu().value = '1N4148';
    menu().dispatchEvent(new Event('change', { bubbles: true }));
    await bench.store.settled();
    assert.equal(names().split(' ')[0], '1N4148');
    bench.store.act({ type: 'undo' });
    await bench.store.settled();
    assert.equal(names(), '1N34A no. 2 1N34A');
    bench.store.act({ type: 'undo' });
    await bench.store.settled();
    assert.equal(names(), '1N34A 1N34A');
  });

  it('can be typed at a place by the name that the builder gave them', async () => {
    const own = { name: 'my blue one', kind: 'resistor', like: '4k7', value: 4620 } as const;
    const { measured } = bench.store.state;
    bench.store.act({ type: 'keepMeasured', parts: [...measured, own] });
    bench.store.act({ type: 'select', ref: 'R4' });
    const field = () => card().querySelector<HTMLInputElement>('[aria-label="Value of R4 in A"]');
    await until('the names to choose from', () => field()?.list?.options[0]?.value === 'my blue one');
    const enter = (typed: string) => {
      field()!.value = typed;
      field()!.dispatchEvent(new Event('change', { bubbles: true }));
    };
    enter('my red one');
    await until('a refusal', () =>
      /R4: .*"my red one".* No measured part has that name; you have "my blue one"\./.test(
        text(card(), '[role="alert"]'),
      ),
    );
    enter('My Blue one');
    await until('the part', () => bench.store.state.builds.a.parts['R4']?.piece === 'my blue one');
    assert.equal(bench.store.state.builds.a.parts['R4']?.value, '4k62');
    bench.store.act({ type: 'undo' });
    bench.store.act({ type: 'keepMeasured', parts: measured });
    bench.store.act({ type: 'select', ref: 'D1' });
    await bench.store.settled();
    await until('the diode', () => menu() !== null);
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
