import { assert } from 'chai';
import type { LitElement } from 'lit';
import { serialiseBuild } from '../../engine/builds/build-file.ts';
import type { ClipleadBench } from '../../ui/bench.ts';
import type { LiveCaution } from '../../ui/components/live-caution.ts';
import mainUrl from '../../ui/main.ts?url';
import { presetNamed } from '../../ui/state/presets.ts';
import { noticeBar } from './opened-bench.ts';
import '../../ui/main.ts';
import { framesDrawn, until } from './until.ts';

let bench: ClipleadBench;

/** The bench as on a first visit. */
async function openBench(): Promise<void> {
  localStorage.clear();
  bench = document.createElement('cliplead-bench') as ClipleadBench;
  document.body.append(bench);
  await drawn();
}

/** Changes from the schematic to the list of parts. */
async function showList(): Promise<void> {
  bench.shadowRoot?.querySelector<HTMLElement>('.sheets button:nth-child(2)')?.click();
  await drawn();
}

/** Two frames, so that components inside other components are drawn too. */
async function drawn(): Promise<void> {
  await framesDrawn(2);
  await bench.updateComplete;
}

/** First matching element of a component of the bench. */
function within<T extends HTMLElement>(component: string, selector: string): T {
  const found = bench.shadowRoot?.querySelector(component)?.shadowRoot?.querySelector<T>(selector);
  if (!found) throw new Error(`${component} has no ${selector}`);
  return found;
}

function labelled<T extends HTMLElement>(component: string, label: string): T {
  return within<T>(component, `[aria-label="${label}"]`);
}

async function type(component: string, label: string, text: string): Promise<void> {
  const field = labelled<HTMLInputElement>(component, label);
  field.value = text;
  field.dispatchEvent(new Event('change', { bubbles: true }));
  await drawn();
}

/** Chooses a preset from the menu of build A. */
async function choosePreset(name: string): Promise<void> {
  within('build-bar', 'summary').click();
  await drawn();
  within('build-bar', `[data-preset="${name}"]`).click();
  await drawn();
}

async function press(key: string, target: EventTarget = document.body): Promise<void> {
  // The space bar is let go at once: on a slow page it would become a long press.
  for (const type of key === ' ' ? ['keydown', 'keyup'] : ['keydown'])
    target.dispatchEvent(new KeyboardEvent(type, { key, bubbles: true, composed: true, cancelable: true }));
  await drawn();
}

/** Whether the bench handles the space bar itself, so that the control with the focus never gets it. */
async function takesSpace(target: EventTarget): Promise<boolean> {
  const event = new KeyboardEvent('keydown', { key: ' ', bubbles: true, composed: true, cancelable: true });
  target.dispatchEvent(event);
  await drawn();
  return event.defaultPrevented;
}

async function select(ref: string): Promise<void> {
  within('parts-by-stage', `tr[data-ref="${ref}"]`).click();
  await drawn();
}

/** The text in the row of a part, without the spaces of the markup. */
function row(ref: string): string {
  return (within('parts-by-stage', `tr[data-ref="${ref}"]`).textContent ?? '').replace(/\s+/g, ' ');
}

/** Sentences that are shown as alerts, anywhere on the bench. */
function alerts(): string[] {
  const roots = [
    bench.shadowRoot,
    ...[...(bench.shadowRoot?.querySelectorAll('*') ?? [])].map((e) => e.shadowRoot),
  ];
  return roots
    .flatMap((root) => [...(root?.querySelectorAll('[role="alert"]') ?? [])])
    .map((element) => (element.textContent ?? '').trim());
}

async function openFile(text: string, name: string): Promise<void> {
  const input = within<HTMLInputElement>('build-bar', 'input[type="file"]');
  const { builds, refusal } = bench.store.state;
  const files = new DataTransfer();
  files.items.add(new File([text], name, { type: 'application/json' }));
  input.files = files.files;
  input.dispatchEvent(new Event('change', { bubbles: true }));
  await until(`an answer to ${name}`, () => {
    const now = bench.store.state;
    return now.builds !== builds || now.refusal !== refusal;
  });
  await drawn();
}

describe('the bench', () => {
  beforeEach(async () => {
    await openBench();
    await showList();
  });
  afterEach(() => {
    bench.remove();
    delete document.documentElement.dataset['theme'];
  });

  it('shows two builds, their parts by stage, and what to do first', () => {
    assert.equal(
      labelled<HTMLInputElement>('build-bar', 'Title of build A').value,
      presetNamed('soft-plain').title,
    );
    assert.include(row('D1'), '1N4148');
    assert.include(row('D1'), 'LED-red');
    assert.include(noticeBar(bench)?.querySelector('[role="note"]')?.textContent, 'Listen');
  });

  it('takes a typed value into one build and shows it as printed on parts', async () => {
    await select('R4');
    await type('part-card', 'Value of R4 in B', '2.2k');
    assert.equal(bench.store.state.builds.b.parts['R4']?.value, '2k2');
    assert.equal(bench.store.state.builds.a.parts['R4']?.value, '4k7');
    assert.include(row('R4'), '2k2');
  });

  it('says in one sentence why a value is wrong, and keeps the old value', async () => {
    await select('R4');
    await type('part-card', 'Value of R4 in A', '4k7k');
    const [sentence, ...others] = alerts();
    assert.include(sentence, '4k7k');
    assert.include(sentence, 'R4');
    assert.deepEqual(others, []);
    assert.equal(bench.store.state.builds.a.parts['R4']?.value, '4k7');
  });

  it('restores the old text of a field on Escape', async () => {
    await select('R4');
    const field = labelled<HTMLInputElement>('part-card', 'Value of R4 in A');
    field.value = 'nonsen';
    await press('Escape', field);
    assert.equal(field.value, '4k7');
  });

  it('switches between A and B with the space bar, but not while a value is typed', async () => {
    await press(' ');
    assert.equal(bench.store.state.heard, 'b');
    assert.equal(labelled('switch-panel', 'Hear build B').getAttribute('aria-pressed'), 'true');
    await select('R4');
    await press(' ', labelled('part-card', 'Value of R4 in A'));
    assert.equal(bench.store.state.heard, 'b');
  });

  it('leaves the space bar to a box that was reached with the keyboard, and to the warnings before a live input', async () => {
    const box = within<HTMLInputElement>('output-panel', 'input[type="checkbox"]');
    box.focus({ focusVisible: true } as FocusOptions);
    assert.isFalse(await takesSpace(box));
    const cautions = bench.shadowRoot?.querySelector<LiveCaution>('live-caution');
    void cautions?.ask({ kind: 'live', deviceId: '', channel: 0 });
    const button = within('live-caution', 'dialog button');
    button.focus();
    assert.isFalse(await takesSpace(button));
    assert.equal(bench.store.state.heard, 'a');
    within<HTMLDialogElement>('live-caution', 'dialog').close();
  });

  it('goes from part to part with up and down, and steps the value of the playing build with left and right', async () => {
    await select('R4');
    await press('ArrowRight', within('parts-by-stage', 'tr[data-ref="R4"]'));
    // 4.7 is followed by 5.6 in E12 (IEC 60063).
    assert.equal(bench.store.state.builds.a.parts['R4']?.value, '5k6');
    await press('ArrowDown', within('parts-by-stage', 'tr[data-ref="R4"]'));
    assert.equal(bench.store.state.selected, 'C3');
  });

  it('starts a build from a preset, of another circuit too', async () => {
    await choosePreset('soft-germanium');
    assert.deepEqual(bench.store.state.builds.a, presetNamed('soft-germanium'));
    await choosePreset('clean-plain');
    assert.equal(bench.store.state.builds.a.circuit.id, 'clean-blend');
    assert.deepEqual(alerts(), []);
    assert.isAbove(row('R1').length, 0);
    assert.include(row('R4'), 'R4 4k7', 'the part of B with the same job stands beside');
    await select('C4');
    const figures = () => within('part-card', 'part-figures').shadowRoot?.textContent ?? '';
    await until('the figure of both', () => /A\s*\d+\s*Hz\s*B\s*\d+\s*Hz\s*\(C3\)/.test(figures()));
  });

  it('lists the swaps of two circuits after a click, copies one to the other side, and goes on', async () => {
    await choosePreset('clean-plain');
    const list = within('swap-list', 'circuit-swap-list').shadowRoot!;
    list.querySelector<HTMLButtonElement>('button')!.click();
    await drawn();
    const dialog = list.querySelector('dialog')!;
    assert.isTrue(dialog.open);
    const copy = () => dialog.querySelector<HTMLButtonElement>('[aria-label="Copy the gain resistor to A"]');
    copy()!.click();
    await until('the copied part', () => bench.store.state.builds.a.parts['R4']?.value === '4k7');
    await until('a shorter list', () => copy() === null);
    assert.isTrue(dialog.contains(list.activeElement), 'the focus stays in the list');
    assert.isTrue(dialog.open);
    dialog.close();
    assert.include(within('controls-panel', 'label').title, 'gain, treble with tone, output');
  });

  it('closes the menu of a build with Escape', async () => {
    within('build-bar', 'summary').click();
    await drawn();
    await press('Escape', within('build-bar', '.preset'));
    assert.isFalse(within<HTMLDetailsElement>('build-bar', 'details').open);
  });

  it('opens a build file', async () => {
    await openFile(
      serialiseBuild({ ...presetNamed('soft-germanium'), title: 'From the drawer' }),
      'mine.build.json',
    );
    assert.equal(bench.store.state.builds.a.title, 'From the drawer');
    assert.deepEqual(alerts(), []);
  });

  it('refuses the whole of a broken build file, and names the file and the part', async () => {
    const before = bench.store.state.builds;
    const text = serialiseBuild(presetNamed('soft-led')).replace('"R4": "4k7"', '"R4": "4 apples"');
    await openFile(text, 'broken.build.json');
    assert.strictEqual(bench.store.state.builds, before);
    const [sentence] = alerts();
    assert.include(sentence, 'broken.build.json');
    assert.include(sentence, 'R4');
  });

  it('undoes an edit with Ctrl+Z', async () => {
    const before = bench.store.state.builds;
    await select('R4');
    await type('part-card', 'Value of R4 in B', '2k2');
    bench.dispatchEvent(new KeyboardEvent('keydown', { key: 'z', ctrlKey: true, bubbles: true }));
    await drawn();
    assert.strictEqual(bench.store.state.builds, before);
  });

  it('restores the builds of the last visit', async () => {
    await select('R4');
    await type('part-card', 'Value of R4 in B', '2k2');
    const { builds } = bench.store.state;
    bench.remove();
    bench = document.createElement('cliplead-bench') as ClipleadBench;
    document.body.append(bench);
    await drawn();
    assert.deepEqual(bench.store.state.builds, builds);
  });

  it('says that a knob has no effect when its potentiometer is bridged', async () => {
    const slider = () => labelled<HTMLInputElement>('controls-panel', 'tone of build A');
    assert.isFalse(slider().disabled);
    const { value = '', law } = bench.store.state.builds.a.parts['VR2'] ?? {};
    bench.store.act({
      type: 'setPart',
      slot: 'a',
      ref: 'VR2',
      setting: { value, ...(law && { law }), fit: 'bridged' },
    });
    await drawn();
    assert.isTrue(slider().disabled);
    assert.include(slider().closest('label')?.textContent ?? '', 'jumpered');
  });

  it('refuses a temperature out of range, and keeps the old one', async () => {
    await type('conditions-panel', 'Temperature of the bench, degrees Celsius', '-300');
    assert.equal(bench.store.state.temperatureC, 27);
    assert.match(alerts().join(), /"-300" °C is out of range. Choose -10 to 60 °C/);
    await type('conditions-panel', 'Temperature of the bench, degrees Celsius', '-5');
    assert.equal(bench.store.state.temperatureC, -5);
    assert.deepEqual(alerts(), [], 'what was refused is over once a temperature is taken');
  });

  it('shows the figures of a diode at the bench’s temperature', async () => {
    await select('D1');
    const card = () => (within('part-card', 'details .slot.a').textContent ?? '').replace(/\s+/g, ' ');
    const drop = () => within('part-card', '.slot.a part-figures').shadowRoot?.textContent ?? '';
    assert.match(card(), /At 27 °C: .* \/ 0\.61 V/);
    assert.match(drop(), /609 mV at 27 °C/);
    await type('conditions-panel', 'Temperature of the bench, degrees Celsius', '60');
    assert.match(card(), /At 60 °C: .* \/ 0\.55 V/);
    assert.match(drop(), /54\d mV at 60 °C/);
  });

  it('does not change a field while somebody types there, although the rest is drawn again meanwhile', async () => {
    bench.store.act({ type: 'source', source: { kind: 'live', deviceId: '', channel: 0 } });
    await drawn();
    const panel = bench.shadowRoot?.querySelector<LitElement>('calibration-guide');
    const field = within<HTMLInputElement>('calibration-guide', 'input[type="number"]');
    const typeAndDraw = async (text: string) => {
      field.value = text;
      field.dispatchEvent(new Event('input', { bubbles: true }));
      panel?.requestUpdate();
      await drawn();
      assert.equal(field.value, text);
      field.dispatchEvent(new Event('change', { bubbles: true }));
      await drawn();
    };
    await typeAndDraw('5.5');
    assert.equal(bench.store.state.calibration.volts, 5.5);
    await typeAndDraw('-1');
    assert.match(alerts().join(), /“Interface clips at” needs a number/);
    assert.equal(field.value, '5.500', 'what was refused goes');
  });

  it('stops the tone for the multimeter with Mute, and when the view with its button is closed', async () => {
    const toneButton = () => {
      const room = bench.shadowRoot?.querySelector('ear-room')?.shadowRoot;
      return room
        ?.querySelector('ears-panel')
        ?.shadowRoot?.querySelector<HTMLElement>('button[aria-pressed]');
    };
    const play = async () => {
      bench.store.act({ type: 'view', view: 'ear' });
      await drawn();
      toneButton()?.click();
      await drawn();
      assert.isTrue(bench.session.state.playsTone);
      assert.include(toneButton()?.textContent ?? '', 'Stop');
    };
    await play();
    bench.shadowRoot?.querySelector<HTMLElement>('.name nav button')?.click();
    await drawn();
    assert.equal(bench.store.state.view, 'bench');
    assert.isFalse(bench.session.state.playsTone);
    await play();
    within('output-panel', '.listen').click();
    await drawn();
    within('output-panel', '.listen').click();
    await drawn();
    assert.isFalse(bench.session.state.playsTone);
    assert.include(toneButton()?.textContent ?? '', 'Play');
  });

  it('keeps the title of a build where an empty title is typed', async () => {
    await type('build-bar', 'Title of build A', '  ');
    assert.equal(bench.store.state.builds.a.title, 'Plain build');
    assert.equal(labelled<HTMLInputElement>('build-bar', 'Title of build A').value, 'Plain build');
    await type('build-bar', 'Title of build A', ' For Sunday ');
    assert.equal(bench.store.state.builds.a.title, 'For Sunday');
  });

  it('distinguishes a copy with other diodes from its original, by title and by notes', async () => {
    const titleOf = (letter: string) => {
      const bars = [...(bench.shadowRoot?.querySelectorAll('build-bar') ?? [])];
      return bars
        .map(({ shadowRoot }) =>
          shadowRoot?.querySelector<HTMLInputElement>(`[aria-label="Title of build ${letter}"]`),
        )
        .find((field) => field);
    };
    bench.store.act({ type: 'copy', from: 'a', to: 'b' });
    for (const ref of ['D1', 'D2', 'D3'])
      bench.store.act({ type: 'setPart', slot: 'b', ref, setting: { type: 'OA91' } });
    await drawn();
    assert.equal(titleOf('A')?.value, 'Plain build');
    assert.equal(titleOf('B')?.value, 'Plain build, D1 to D3 OA91');
    assert.match(titleOf('B')?.title ?? '', /^Started from Plain build: One silicon diode each way/);
    assert.match(titleOf('A')?.title ?? '', /^One silicon diode each way/);
    // If the user does not change it, the title follows the swaps; a typed title stays.
    const type = async (text: string) => {
      const field = titleOf('B')!;
      field.value = text;
      field.dispatchEvent(new Event('change', { bubbles: true }));
      await drawn();
    };
    await type('Plain build, D1 to D3 OA91');
    bench.store.act({ type: 'setPart', slot: 'b', ref: 'D3', setting: { type: '1N4148' } });
    await drawn();
    assert.equal(titleOf('B')?.value, 'Plain build, D1 and D2 OA91');
    await type('For Sunday');
    bench.store.act({ type: 'setPart', slot: 'b', ref: 'D2', setting: { type: '1N4148' } });
    await drawn();
    assert.equal(titleOf('B')?.value, 'For Sunday');
    await type('');
    assert.equal(titleOf('B')?.value, 'Plain build, D1 OA91');
  });

  it('says on the card which build the schematic shows, and offers to play the other', async () => {
    const saidOf = (slot: string) => within('part-card', `.slot.${slot} .heard`).textContent ?? '';
    assert.include(saidOf('a'), 'playing');
    assert.include(saidOf('b'), 'Hear B');
    within('part-card', '.slot.b .heard button').click();
    await drawn();
    assert.equal(bench.store.state.heard, 'b');
    assert.include(saidOf('b'), 'playing');
    bench.shadowRoot?.querySelector<HTMLElement>('.sheets button:first-child')?.click();
    await drawn();
    assert.include(within('build-schematic', 'h2').textContent ?? '', 'LED-red');
  });

  // House rule, no source: the schematic is the most important part, so it gets half of a low window while there are no messages.
  for (const height of [768, 800]) {
    it(`gives the schematic about half of a window ${height} pixels high`, async () => {
      const { page, remove } = await benchInFrame(1024, height);
      const paper = page
        .querySelector('cliplead-bench')
        ?.shadowRoot?.querySelector('build-schematic')
        ?.shadowRoot?.querySelector('.paper');
      const sheetHeight = paper?.getBoundingClientRect().height ?? 0;
      const root = page.querySelector('cliplead-bench')?.shadowRoot;
      const messages = root?.querySelector('notice-bar')?.getBoundingClientRect().height ?? 0;
      const left = root?.querySelector('.left');
      const isWhole = left?.scrollHeight === left?.clientHeight;
      remove();
      // Firefox draws boxes and menus some pixels higher than Chromium.
      assert.isAtLeast(sheetHeight + messages, 0.48 * height);
      assert.isTrue(isWhole, 'the controls are in sight below the sheet');
    });
  }

  it('needs no sideways scrolling on a screen 1024 pixels wide', async () => {
    const { page, remove } = await benchInFrame(1024);
    const sheet = page
      .querySelector('cliplead-bench')
      ?.shadowRoot?.querySelector('build-schematic')?.shadowRoot;
    const shown = sheet?.querySelectorAll('[data-ref]').length ?? 0;
    // The page's own width: a vertical scroll bar can take some of the frame's width.
    const { scrollWidth, clientWidth } = page.documentElement;
    remove();
    assert.isAbove(shown, 20);
    assert.equal(scrollWidth, clientWidth);
  });
});

/** The bench in a page of its own, because the width of the page decides what fits. */
async function benchInFrame(width: number, height = 800): Promise<{ page: Document; remove: () => void }> {
  const frame = document.createElement('iframe');
  frame.style.cssText = `width: ${width}px; height: ${height}px; border: 0`;
  // Any address of this origin works; this one has no page, and so contains only the bench.
  frame.src = '/site/no-such-page';
  await new Promise((resolve) => {
    frame.addEventListener('load', resolve, { once: true });
    document.body.append(frame);
  });
  const page = frame.contentDocument;
  if (!page) throw new Error('the frame has no page');
  page.body.replaceChildren(page.createElement('cliplead-bench'));
  const script = Object.assign(page.createElement('script'), { type: 'module', src: mainUrl });
  await new Promise((resolve, reject) => {
    script.addEventListener('load', resolve, { once: true });
    script.addEventListener('error', () => reject(new Error('the bench did not load')), { once: true });
    page.head.append(script);
  });
  const inside = (component: string) =>
    page.querySelector('cliplead-bench')?.shadowRoot?.querySelector(component)?.shadowRoot;
  await until('schematic and plots', () =>
    [
      inside('build-schematic')?.querySelector('.paper svg'),
      inside('plots-panel')?.querySelector('plot-frame'),
    ].every((element) => element != null),
  );
  // Some components measure their room in one frame and use it in the next.
  await framesDrawn(4);
  return { page, remove: () => frame.remove() };
}
