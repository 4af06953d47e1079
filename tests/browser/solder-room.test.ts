import { assert } from 'chai';
import type { ClipleadBench } from '../../ui/bench.ts';
import type { WiringPanel } from '../../ui/components/solder/wiring-panel.ts';
import type { Analyser } from '../../ui/plots/analyser.ts';
import { closeBench, openedBench } from './opened-bench.ts';
import { until } from './until.ts';
import '../../ui/main.ts';

describe('the view Solder', () => {
  let bench: ClipleadBench;

  before(async () => {
    bench = await openedBench();
    bench.store.act({ type: 'view', view: 'solder' });
  });
  after(() => closeBench(bench));

  const panel = () =>
    bench.shadowRoot!.querySelector('solder-room')?.shadowRoot?.querySelector('voltage-panel')?.shadowRoot;
  const text = () => (panel()?.textContent ?? '').replace(/\s+/g, ' ');
  const type = (label: string, value: string) => {
    const input = panel()!.querySelector<HTMLInputElement>(`input[aria-label="${label}"]`)!;
    input.value = value;
    input.dispatchEvent(new Event('change'));
  };

  it('says what a meter reads, and which mistakes explain what was read', async () => {
    await until('the readings', () => panel()?.querySelector('td.volts') != null);
    type('You read at bias, volts', '0,1');
    type('You read at supply, volts', '8.96');
    await until('the suspects', () => /Suspects, the likeliest first/.test(text()));
    // Half of the supply is made by R15 and R16: without R15 it is 0 V.
    assert.match(text(), /R15 is not soldered or broken/);
    assert.equal(panel()!.querySelectorAll('tr.off').length, 1);
    type('You read at bias, volts', '4,5');
    await until('all is well', () => /are what a sound board gives/.test(text()));
    type('You read at bias, volts', 'four');
    await until('the refusal', () => /bias: “four” is no number of volts/.test(text()));
    assert.equal(
      panel()!.querySelector<HTMLInputElement>('input[aria-label="You read at bias, volts"]')!.value,
      'four',
    );
  });

  it('says by mark and word how a reading is, and takes it at every leg of its net', async () => {
    const field = (label: string) =>
      panel()!.querySelector<HTMLInputElement>(`input[aria-label="${label}"]`)!;
    const verdict = (input: HTMLInputElement) => {
      const cell = input.closest('tr')!.querySelector('.verdict')!;
      return (cell.querySelector('span')?.textContent ?? '').replace(/\s+/g, ' ').trim();
    };
    const bias = 'You read at bias, volts';
    for (const [typed, said, isWrong] of [
      ['0.1', '▼ too low', 'true'],
      ['8.9', '▲ too high', 'true'],
      ['four', '? no number', 'true'],
      ['4.5', '✓ fits', 'false'],
    ] as const) {
      type(bias, typed);
      await until(said, () => verdict(field(bias)) === said);
      assert.equal(field(bias).getAttribute('aria-invalid'), isWrong);
    }
    // Enter goes on to the next field with what was typed.
    const fields = [...panel()!.querySelectorAll('td input')] as HTMLInputElement[];
    fields[0]!.focus();
    for (const [key, shiftKey, index] of [
      ['Enter', false, 1],
      ['ArrowDown', false, 2],
      ['Enter', true, 1],
    ] as const) {
      const init = { key, shiftKey, bubbles: true, composed: true, cancelable: true };
      panel()!.activeElement!.dispatchEvent(new KeyboardEvent('keydown', init));
      assert.equal(panel()!.activeElement, fields[index]);
    }
    panel()!.querySelectorAll<HTMLElement>('.segments input')[1]!.click();
    await until('the legs', () => panel()!.querySelector('.leg') !== null);
    // R15 and R16 make the bias, which goes to the plus inputs of a chip through resistors, and the supply to its pin 8.
    const supply = field('You read at U1 leg 8 V+, net supply, volts');
    assert.equal(supply.value, '8.96');
    assert.equal(verdict(supply), '✓ fits');
    panel()!.querySelectorAll<HTMLElement>('.segments input')[0]!.click();
    await until('the nets', () => panel()!.querySelector('.leg') === null);
  });

  it('has its sections one at a time, by mouse and by arrows, and opens with the last one', async () => {
    const room = bench.shadowRoot!.querySelector('solder-room')!;
    const tabs = () => [...room.shadowRoot!.querySelectorAll<HTMLElement>('[role="tab"]')];
    const shown = () =>
      [...room.shadowRoot!.querySelectorAll<HTMLElement>('[role="tabpanel"]')]
        .filter((each) => each.checkVisibility())
        .map(({ id }) => id);
    assert.deepEqual(shown(), ['voltages']);
    tabs()[0]!.click();
    await until('the sheet', () => shown().join() === 'sheet');
    for (const [key, section] of [
      ['ArrowRight', 'wiring'],
      ['End', 'log'],
      ['ArrowRight', 'sheet'],
      ['ArrowLeft', 'log'],
      ['Home', 'sheet'],
    ] as const) {
      const chosen = tabs().find((tab) => tab.getAttribute('aria-selected') === 'true')!;
      chosen.dispatchEvent(
        new KeyboardEvent('keydown', { key, bubbles: true, composed: true, cancelable: true }),
      );
      await until(section, () => shown().join() === section);
    }
    bench.store.act({ type: 'view', view: 'bench' });
    await until('the bench', () => bench.shadowRoot!.querySelector('solder-room') === null);
    bench.store.act({ type: 'view', view: 'solder' });
    await until(
      'the view again',
      () => bench.shadowRoot!.querySelector('solder-room')?.shadowRoot?.querySelector('[role="tab"]') != null,
    );
    const again = bench.shadowRoot!.querySelector('solder-room')!.shadowRoot!;
    assert.equal(again.querySelector('[aria-selected="true"]')!.textContent, 'Bench sheet');
    again.querySelectorAll<HTMLElement>('[role="tab"]')[2]!.click();
    await until('the readings', () => panel()?.querySelector('td.volts') != null);
  });

  it('draws the wires of the build that is heard, with what its knobs do, and each wire in words', async () => {
    const wiring = () =>
      bench.shadowRoot!.querySelector('solder-room')?.shadowRoot?.querySelector('wiring-panel')?.shadowRoot;
    const drawn = () => wiring()?.querySelector('svg')?.textContent ?? '';
    await until('what the knobs do', () => /clockwise: gain \+\d/.test(drawn()));
    const count = (selector: string) => wiring()!.querySelectorAll(selector).length;
    assert.isAbove(count('path.wire'), 20);
    assert.equal(count('path.wire'), count('tbody tr'));
    assert.match(drawn(), /3PDT/);
    const { a } = bench.store.state.builds;
    bench.store.act({ type: 'load', slot: 'a', build: { ...a, bypass: 'buffered' } });
    await until('a buffered bypass', () => /DPDT, latching/.test(drawn()));
    // What the knobs of another build do is not said while the worker still computes those of this one.
    await until('what the knobs do', () => /clockwise: gain \+\d/.test(drawn()));
    const element = wiring()!.host as WiringPanel;
    element.analyser = { ask: () => new Promise<never>(() => {}) } as unknown as Analyser;
    element.build = a;
    await element.updateComplete;
    assert.match(drawn(), /3PDT/);
    assert.notMatch(drawn(), /clockwise:/);
  });

  it('puts the whole sheet of what is heard into a frame for the printer, and takes it away with the view', async () => {
    const sheets = () => [...document.querySelectorAll<HTMLIFrameElement>('iframe[title="Bench sheet"]')];
    const room = bench.shadowRoot!.querySelector('solder-room')!.shadowRoot!;
    room.querySelector('sheet-panel')!.shadowRoot!.querySelector<HTMLButtonElement>('button.print')!.click();
    const headings = () =>
      [...(sheets()[0]?.contentDocument?.querySelectorAll('h2') ?? [])].map(({ textContent }) => textContent);
    await until('the sheet', () => headings().includes('Cautions'));
    const printed = (sheets()[0]!.contentDocument!.body.textContent ?? '').replace(/\s+/g, ' ');
    assert.include(printed, '8.96✓ fits', 'what was read on the board, also before the view was left');
    assert.deepEqual(headings().slice(0, 4), ['Schematic', 'Parts list', 'Wiring', 'Voltages']);
    const { contentDocument } = sheets()[0]!;
    assert.equal(contentDocument!.defaultView!.getComputedStyle(contentDocument!.body).color, 'rgb(0, 0, 0)');
    bench.store.act({ type: 'view', view: 'bench' });
    await until('no sheet', () => sheets().length === 0);
    bench.store.act({ type: 'view', view: 'solder' });
  });

  it('shows the build that is heard', async () => {
    const build = bench.store.state.builds.b;
    const parts = { ...build.parts, V1: { ...build.parts['V1']!, value: '18V' } };
    bench.store.act({ type: 'load', slot: 'b', build: { ...build, parts } });
    bench.store.act({ type: 'hear', slot: 'b' });
    await until('18 V', () => /V1: 18 V needs an adapter/.test(text()));
  });

  it('lists a swap in the mod log, takes a note, and puts the earlier state back', async () => {
    const log = () =>
      bench.shadowRoot!.querySelector('solder-room')?.shadowRoot?.querySelector('mod-log')?.shadowRoot;
    const texts = () => [...(log()?.querySelectorAll('.did') ?? [])].map(({ textContent }) => textContent);
    const entryOf = (did: string) => log()!.querySelectorAll('li')[texts().indexOf(did)]!;
    const { value: before } = bench.store.state.builds.a.parts['C3']!;
    const swap = `C3 ${before} to 330n`;
    const setting = { ...bench.store.state.builds.a.parts['C3'], value: '330n' };
    bench.store.act({ type: 'setPart', slot: 'a', ref: 'C3', setting });
    await until('the swap', () => texts()[0] === swap);
    const note = entryOf(swap).querySelector('input')!;
    note.value = 'too much bass';
    note.dispatchEvent(new Event('change'));
    // Back to the entry before it, on B too.
    const start = log()!.querySelectorAll('li')[1]!;
    for (const button of start.querySelectorAll('button')) button.click();
    await until('the earlier value', () => bench.store.state.builds.a.parts['C3']!.value === before);
    await until('the same on B', () => bench.store.state.builds.b.parts['C3']!.value === before);
    await until('the note', () => entryOf(swap)?.querySelector('input')?.value === 'too much bass');
    const add = log()!.querySelector<HTMLButtonElement>('.head button')!;
    for (let each = 0; each < 12; each++) add.click();
    const searched = () => log()!.querySelector<HTMLInputElement>('input[aria-label="Search the mod log"]');
    await until('a search', () => searched() !== null);
    const search = searched()!;
    const { heard } = bench.store.state;
    const space = new KeyboardEvent('keydown', {
      key: ' ',
      code: 'Space',
      bubbles: true,
      composed: true,
      cancelable: true,
    });
    search.dispatchEvent(space);
    assert.isFalse(space.defaultPrevented, 'a space belongs to the text');
    assert.equal(bench.store.state.heard, heard);
    search.value = 'BASS c3';
    search.dispatchEvent(new Event('input'));
    await until('the entry that is searched for', () => texts().length === 1 && texts()[0] === swap);
    search.value = '';
    search.dispatchEvent(new Event('input'));
    await until('all of them', () => texts().length > 12);
    log()!.querySelectorAll<HTMLButtonElement>('.head button')[2]!.click();
    await until('an empty log', () => texts().length === 0);
    log()!.querySelector<HTMLButtonElement>('[role=status] button')!.click();
    await until('the log again', () => texts().includes(swap));
  });
});
