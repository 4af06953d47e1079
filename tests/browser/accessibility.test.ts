import axe, { type ElementContext, type RunOptions } from 'axe-core';
import { assert } from 'chai';
import { startBlindTest } from '../../engine/analysis/blind-test.ts';
import type { ClipleadBench } from '../../ui/bench.ts';
import type { DrawerDialog } from '../../ui/components/drawer-dialog.ts';
import type { MeasuredParts } from '../../ui/components/measuring/measured-parts.ts';
import { presetNamed } from '../../ui/state/presets.ts';
import { benchDrawn, closeBench, noticeBar, openedBench } from './opened-bench.ts';
import { until } from './until.ts';
import '../../ui/main.ts';

let bench: ClipleadBench;

const drawn = () => benchDrawn(bench);

const inside = (name: string) => bench.shadowRoot!.querySelector(name)!.shadowRoot!;

/** All elements of the bench with this selector, in components inside components too. */
function deep<T extends Element>(selector: string, root: ParentNode = bench.shadowRoot!): readonly T[] {
  const within = [...root.querySelectorAll('*')].flatMap(({ shadowRoot }) =>
    shadowRoot ? deep<T>(selector, shadowRoot) : [],
  );
  return [...root.querySelectorAll<T>(selector), ...within];
}

async function violations(context: ElementContext, options: RunOptions = {}): Promise<readonly string[]> {
  const { violations: found } = await axe.run(context, { resultTypes: ['violations'], ...options });
  return found.flatMap(({ id, nodes }) =>
    nodes.map(({ target, failureSummary }) => `${id}: ${target} ${failureSummary}`),
  );
}

function setTheme(theme: string): void {
  document.documentElement.dataset['theme'] = theme;
}

/** What has to be done first, so that a dialog has its content. */
const OPENERS: Readonly<Record<string, (host: Element) => unknown>> = {
  'swap-list': () => inside('swap-list').querySelector<HTMLElement>('li button')!.click(),
  'drawer-dialog': (host) => (host as DrawerDialog).open(),
  'measured-parts': (host) => (host as MeasuredParts).open(undefined),
};

/** A section of the view Solder, and a part of it. */
async function choose(section: string, part: number): Promise<void> {
  deep<HTMLElement>(`#tab-${section}`)[0]!.click();
  await drawn();
  deep<HTMLElement>('.segments input[name="part"]')
    .filter((each) => each.checkVisibility())
    [part]?.click();
}

/** The views of the bench, with everything unfolded that can be. */
const VIEWS: Readonly<Record<string, () => unknown>> = {
  'the bench with card, conditions and notices unfolded': async () => {
    bench.store.act({ type: 'view', view: 'bench' });
    bench.store.act({ type: 'select', ref: 'D1' });
    bench.session.report('swaps', 'A swap failed.');
    await drawn();
    for (const name of ['part-card', 'conditions-panel']) inside(name).querySelector('details')!.open = true;
    noticeBar(bench)!.querySelector<HTMLElement>('.more')?.click();
    await until('the plots', () => deep('plot-frame:not([busy])').length > 0);
  },
  'the list of parts, with a refused value and the menu of a build': async () => {
    inside('conditions-panel').querySelector('details')!.open = false;
    bench.session.report('swaps', undefined);
    deep<HTMLElement>('.sheets button')[1]!.click();
    bench.store.act({ type: 'select', ref: 'R4' });
    bench.store.act({ type: 'refuse', ref: 'R4', slot: 'a', message: 'R4 cannot be "4 apples".' });
    await drawn();
    inside('build-bar').querySelector('details')!.open = true;
  },
  'the view By ear': async () => {
    inside('build-bar').querySelector('details')!.open = false;
    bench.store.act({ type: 'dismiss' });
    bench.store.act({ type: 'view', view: 'ear' });
    await drawn();
    for (const details of deep<HTMLDetailsElement>('details'))
      details.open = details.closest('.bar') === null;
  },
  'the parts list': async () => {
    bench.store.act({ type: 'view', view: 'bench' });
    await drawn();
    deep<HTMLElement>('.sheets button')[2]!.click();
    await until('the parts list', () => deep('tbody tr').length > 0);
  },
  'the readings of Solder, one of them too low': async () => {
    bench.store.act({ type: 'view', view: 'solder' });
    await until('the readings', () => deep('td.volts').length > 0);
    const field = deep<HTMLInputElement>('input[aria-label="You read at bias, volts"]')[0]!;
    field.value = '0.1';
    field.dispatchEvent(new Event('change'));
    await until('the verdict', () => deep('.verdict .low').length > 0);
  },
  'the legs in Solder': () => choose('voltages', 1),
  'other supplies in Solder': () => choose('voltages', 2),
  'the wires in Solder': () => choose('wiring', 0),
  'the pins in Solder': () => choose('wiring', 1),
  'the list of wires in Solder': () => choose('wiring', 2),
  'the bench sheet in Solder': () => choose('sheet', 0),
  'the mod log in Solder': () => choose('log', 0),
};

describe('the bench for everybody', () => {
  before(async () => {
    bench = await openedBench();
  });
  after(async () => {
    delete document.documentElement.dataset['theme'];
    await closeBench(bench);
  });

  for (const [view, show] of Object.entries(VIEWS)) {
    it(`has nothing that axe finds in ${view}, dark and light`, async () => {
      await show();
      await drawn();
      setTheme('light');
      assert.deepEqual(await violations(bench), []);
      setTheme('dark');
      assert.deepEqual(await violations(bench, { runOnly: ['color-contrast'] }), []);
    });
  }

  it('has nothing that axe finds in any dialog, dark and light', async () => {
    bench.store.act({ type: 'view', view: 'bench' });
    bench.store.act({ type: 'select', ref: 'D1' });
    await drawn();
    const dialogs = deep<HTMLDialogElement>('dialog');
    assert.isAtLeast(dialogs.length, 7);
    for (const dialog of dialogs) {
      const { host } = dialog.getRootNode() as ShadowRoot;
      await OPENERS[host.localName]?.(host);
      await drawn();
      if (!dialog.open) dialog.showModal();
      assert.isAbove((dialog.textContent ?? '').trim().length, 10, host.localName);
      for (const theme of ['light', 'dark']) {
        setTheme(theme);
        assert.deepEqual(await violations(dialog), [], `${host.localName}, ${theme}`);
      }
      dialog.close();
    }
  });

  it('has nothing that axe finds while a blind test runs', async () => {
    bench.store.act({ type: 'view', view: 'ear' });
    const blindTest = { test: startBlindTest('abx', 4), heard: 'a', notice: undefined } as const;
    bench.store.act({ type: 'ear', change: { blindTest } });
    await drawn();
    setTheme('light');
    assert.deepEqual(await violations(bench), []);
    bench.store.act({ type: 'ear', change: { blindTest: undefined } });
    bench.store.act({ type: 'view', view: 'bench' });
    await drawn();
  });

  it('shows a title in Hebrew from right to left, apart from the words around it', async () => {
    // "Shabbat build 2": the number belongs to the title, also where a bracket follows.
    const title = 'מעגל שבת 2';
    // The schematic has the title of the build above it; the list of parts, which is open, has none.
    deep<HTMLElement>('.sheets button')[0]!.click();
    bench.store.act({ type: 'load', slot: 'a', build: { ...presetNamed('soft-plain'), title } });
    await drawn();
    const field = inside('build-bar').querySelector<HTMLInputElement>('.title')!;
    assert.equal(getComputedStyle(field).direction, 'rtl');
    const isolated = deep('h2, p').filter(({ textContent }) => textContent?.includes(title));
    assert.isAbove(isolated.length, 0);
    for (const place of isolated) assert.isNotNull(place.querySelector('bdi'), place.outerHTML.slice(0, 200));
  });
});
