import { assert } from 'chai';
import { isDrawn, type OpenedFrame, openFrame, removeFrames } from './opened-frame.ts';
import { cutTexts, drawn, everything, isInSight, resize, smallTargets, smallTexts } from './seen.ts';
import { until } from './until.ts';

/** Laptops, a tablet and a phone; CSS pixels. */
const SIZES = [
  [1440, 900],
  [1366, 625],
  [1024, 768],
  [390, 844],
] as const;
/** Smallest text of the bench, px: notes of card and plots, 0.75rem. */
const LEAST_TEXT_PX = 12;

describe('sections and dialogs on one screen', () => {
  let frame: OpenedFrame;

  before(async () => {
    localStorage.clear();
    localStorage.setItem('cliplead-welcomed', 'yes');
    frame = await openFrame();
    await until('the bench is drawn', () => isDrawn(frame));
    await until('the plots are there', () => found('plots-panel', '.tabs') !== undefined);
  });
  after(removeFrames);

  const root = () => frame.bench()!.shadowRoot!;

  /** In a component at any depth. */
  function found(component: string, selector: string): HTMLElement | undefined {
    const host = everything(root()).find(({ localName }) => localName === component);
    return host?.shadowRoot?.querySelector<HTMLElement>(selector) ?? undefined;
  }

  async function press(component: string, selector: string, text: string): Promise<void> {
    const buttons = () => [
      ...(everything(root())
        .find(({ localName }) => localName === component)
        ?.shadowRoot?.querySelectorAll<HTMLElement>(selector) ?? []),
    ];
    const button = () => buttons().find(({ textContent }) => textContent?.trim().startsWith(text));
    await until(`“${text}” in ${component}`, () => button() !== undefined);
    button()!.click();
    await drawn(frame.bench()!);
  }

  /** On a phone each view is a page. */
  async function turnTo(view: 'bench' | 'solder', page: string): Promise<void> {
    frame.bench()!.store.act({ type: 'view', view });
    await drawn(frame.bench()!);
    const pages = [...root().querySelectorAll<HTMLElement>('.pages button')];
    pages.find(({ textContent }) => textContent === page)?.click();
    await drawn(frame.bench()!);
  }

  function isWhole(part: ParentNode, width: number, height: number, what: string): void {
    const { documentElement } = frame.page.document;
    assert.deepEqual([documentElement.scrollWidth, documentElement.scrollHeight], [width, height], what);
    assert.deepEqual(cutTexts(part, width), [], `cut in ${what}`);
    assert.deepEqual(smallTexts(part, LEAST_TEXT_PX), [], `small in ${what}`);
  }

  for (const [width, height] of SIZES) {
    const isPhone = width < 741;

    it(`shows each section of Solder at ${width}x${height} without scrolling the page`, async () => {
      resize(width, height);
      await turnTo('solder', 'Solder');
      await until('the readings', () => found('voltage-panel', 'td input') !== undefined);
      for (const [section, panel, parts] of [
        ['Bench sheet', 'sheet-panel', []],
        ['Wiring', 'wiring-panel', ['Wires from', 'Pins', 'Wires, one']],
        ['Voltages', 'voltage-panel', ['At the legs', 'With another', 'At the nets']],
        ['Mod log', 'mod-log', []],
      ] as const) {
        await press('solder-room', '[role="tab"]', section);
        const shadow = found('solder-room', panel)!.shadowRoot!;
        for (const part of parts.length === 0 ? [''] : parts) {
          if (part !== '') await press(panel, 'label', part);
          isWhole(shadow, width, height, `${section} ${part}`);
          const room = root().querySelector('solder-room')!;
          if (isPhone) assert.deepEqual(smallTargets(room.shadowRoot!), [], `${section} ${part}`);
        }
        const tabs = root().querySelector('solder-room')!.shadowRoot!.querySelectorAll('[role="tab"]');
        for (const tab of tabs) assert.isTrue(isInSight(tab, width, height), `tabs over ${section}`);
      }
      // What to suspect stays in sight while the last net is read.
      await press('solder-room', '[role="tab"]', 'Voltages');
      const fields = found('voltage-panel', 'table')!.querySelectorAll('input');
      fields[fields.length - 1]!.focus();
      await drawn(frame.bench()!);
      assert.isTrue(isInSight(fields[fields.length - 1]!, width, height), 'the last field');
      assert.isTrue(isInSight(found('voltage-panel', '.diagnosis')!, width, height), 'the suspects');
    });

    it(`shows lists and dialogs whole at ${width}x${height}`, async () => {
      resize(width, height);
      await turnTo('bench', 'Circuit');
      const sheets = [...root().querySelectorAll<HTMLElement>('.sheets button')];
      sheets.find(({ textContent }) => textContent === 'Parts list')!.click();
      await until('the parts list', () => found('order-list', 'tbody tr') !== undefined);
      isWhole(root().querySelector('order-list')!.shadowRoot!, width, height, 'the parts list');
      await press('order-list', 'button', 'Drawer');
      await dialogIsWhole('drawer-dialog');
      await turnTo('bench', 'Plots');
      await press('plots-panel', 'button', 'Spread');
      await dialogIsWhole('spread-dialog');
      const detail = { type: 'measureParts', place: 'D1' };
      frame.bench()!.dispatchEvent(new CustomEvent('bench-action', { detail }));
      await dialogIsWhole('measured-parts');
      sheets[0]!.click();
      await drawn(frame.bench()!);

      async function dialogIsWhole(component: string): Promise<void> {
        await until(`${component} is open`, () => found(component, 'dialog[open]') !== undefined);
        await drawn(frame.bench()!);
        const dialog = found(component, 'dialog[open]') as HTMLDialogElement;
        isWhole(dialog, width, height, component);
        // Over the page: nothing around it cuts it.
        const { left, top, right, bottom } = dialog.getBoundingClientRect();
        assert.isAtLeast(Math.min(left, top), 0, component);
        assert.isAtMost(right, width, component);
        assert.isAtMost(bottom, height, component);
        assert.isAtMost(dialog.scrollWidth, dialog.clientWidth, component);
        dialog.close();
      }
    });
  }
});
