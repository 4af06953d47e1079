import { assert } from 'chai';
import { noticeBar } from './opened-bench.ts';
import { isDrawn, type OpenedFrame, openFrame, removeFrames } from './opened-frame.ts';
import { drawn, isInSight, resize, smallTargets } from './seen.ts';
import { framesDrawn, until } from './until.ts';

/** What is left of usual laptop screens by browser and desktop, a large screen, a tablet both ways; CSS pixels. */
const SIZES = [
  [1440, 760],
  [1366, 625],
  [1920, 1080],
  [1024, 768],
  [768, 1024],
] as const;

type Seen = readonly [component: string, selector: string, which?: 'all'];

/** A component of the bench and what of it has to be in sight: the first of the kind, or all. */
const SEEN: Readonly<Record<string, Seen>> = {
  'titles of the builds': ['build-bar', '.title'],
  schematic: ['build-schematic', '.paper'],
  'stages to go to': ['build-schematic', '.stages button'],
  swaps: ['swap-list', 'li button'],
  conditions: ['conditions-panel', 'summary'],
  hiss: ['noise-panel', 'button'],
  'gain knob': ['controls-panel', 'input[type="range"]'],
  'type of the chosen part': ['part-card', '.slot.a select'],
  'number in series': ['part-card', '.slot.b label select'],
  fit: ['part-card', '.slot.a .segments'],
  'details of the card': ['part-card', 'summary'],
  'tabs of the plots': ['plots-panel', '.tabs button', 'all'],
  'button for a large plot': ['plots-panel', '.enlarge'],
  plot: ['plots-panel', 'plot-frame'],
  'switch of A and B': ['switch-panel', 'button'],
  source: ['input-panel', 'select'],
  listen: ['output-panel', 'button'],
};

/** On a phone: what each page shows without scrolling, and what all of them do. */
const PHONE_SEEN: Readonly<Record<string, readonly Seen[]>> = {
  Play: [
    ['player-panel', 'select'],
    ['player-panel', '.step [aria-label^="Next"]'],
    ['player-panel', '.record button'],
    ['plots-panel', 'plot-frame[data-kind="waveform"]'],
  ],
  Part: [
    ['part-card', '.slot.a select'],
    ['part-card', '.slot.b .segments'],
  ],
  Circuit: [
    ['build-schematic', '.paper'],
    ['swap-list', 'li button'],
  ],
  Controls: [
    ['controls-panel', 'input[type="range"]'],
    ['conditions-panel', 'summary'],
    ['noise-panel', 'button'],
  ],
  Plots: [
    ['plots-panel', '.tabs button', 'all'],
    ['plots-panel', '.enlarge'],
  ],
  Sound: [
    ['input-panel', 'select'],
    ['output-panel', 'input[type="range"]'],
  ],
  Ear: [],
  Solder: [
    ['solder-room', '.about'],
    ['solder-room', '[role="tab"]', 'all'],
  ],
};
const ALWAYS_SEEN: readonly Seen[] = [
  ['build-bar', '.title'],
  ['notice-bar', '.more'],
  ['footer switch-panel', '.pair button'],
];

describe('the bench on one screen', () => {
  let frame: OpenedFrame;

  before(async () => {
    localStorage.clear();
    frame = await openFrame();
    await until('the bench is drawn', () => isDrawn(frame));
    await until('the plots are drawn', () => inside('plots-panel', 'plot-frame') !== undefined);
  });

  after(removeFrames);

  function inside(component: string, selector: string): Element | undefined {
    const root = frame.bench()?.shadowRoot?.querySelector(component)?.shadowRoot;
    return root?.querySelector(selector) ?? undefined;
  }

  function isSeen([component, selector, which]: Seen, width: number, height: number): boolean {
    const root = frame.bench()?.shadowRoot?.querySelector(component)?.shadowRoot;
    const found = [...(root?.querySelectorAll(selector) ?? [])];
    const wanted = which === 'all' ? found : found.slice(0, 1);
    return wanted.length > 0 && wanted.every((each) => isInSight(each, width, height));
  }

  for (const [width, height] of SIZES) {
    it(`shows all that is used while playing at ${width}x${height}, below a notice, without scrolling`, async () => {
      resize(width, height);
      assert.isAbove(noticeBar(frame.bench())!.host.getBoundingClientRect().height, 20, 'the welcome');
      const unseen = () =>
        Object.entries(SEEN).flatMap(([what, seen]) => (isSeen(seen, width, height) ? [] : [what]));
      await until(
        () => `in sight: ${unseen().join(', ')}`,
        () => unseen().length === 0,
      );
      assert.deepEqual(unseen(), []);
      const { documentElement } = frame.page.document;
      assert.isAtMost(documentElement.scrollHeight, height);
      assert.isAtMost(documentElement.scrollWidth, width);
      const conditions = inside('conditions-panel', 'details') as HTMLDetailsElement;
      conditions.open = true;
      await framesDrawn(1);
      const body = conditions.querySelector('.body')!;
      assert.isTrue(isInSight(body, width, height), 'all of the opened conditions');
      assert.isAtMost(body.scrollWidth, body.clientWidth);
      conditions.open = false;
    });
  }

  it('shows two plots at once on a large screen', async () => {
    resize(1920, 1080);
    const plots = () => frame.bench()!.shadowRoot!.querySelector('plots-panel')!.shadowRoot!;
    await until('two plots', () => plots().querySelectorAll('plot-frame').length === 2);
    for (const plot of plots().querySelectorAll('plot-frame')) assert.isTrue(isInSight(plot, 1920, 1080));
  });

  for (const [width, height] of SIZES) {
    it(`keeps footer and sheet in place at ${width}x${height} while messages come and go`, async () => {
      resize(width, height);
      const bench = frame.bench()!;
      const box = (selector: string) => {
        const { top, height: tall } = bench.shadowRoot!.querySelector(selector)!.getBoundingClientRect();
        return { top: Math.round(top), height: Math.round(tall) };
      };
      const places = () => ({ footer: box('footer'), sheet: box('build-schematic') });
      const refuse = (message: string) =>
        bench.store.act({ type: 'refuse', ref: '', slot: undefined, message });
      refuse('A file was not read.');
      await drawn(bench);
      const before = places();
      const messages: readonly (() => void)[] = [
        () => refuse(`A file was not read. ${'It is not a build. '.repeat(20)}`),
        () => bench.session.report('dropouts', 'Dropouts at 16×. Now at 8×.'),
        () => bench.session.report('swaps', 'A swap failed.'),
        () => bench.store.act({ type: 'bypass', isBypassed: true }),
        () => bench.store.act({ type: 'match', match: { ...bench.store.state.match, isMeasuring: true } }),
        () => bench.store.act({ type: 'match', match: { ...bench.store.state.match, isMeasuring: false } }),
        () => bench.store.act({ type: 'bypass', isBypassed: false }),
        () => bench.session.report('dropouts', undefined),
        () => bench.session.report('swaps', undefined),
      ];
      for (const [index, change] of messages.entries()) {
        change();
        await drawn(bench);
        assert.deepEqual(places(), before, `after message ${index}`);
        for (const panel of bench.shadowRoot!.querySelectorAll('footer > *'))
          assert.isAtMost(
            panel.scrollHeight,
            panel.clientHeight,
            `${panel.localName} after message ${index}`,
          );
      }
      bench.store.act({ type: 'dismiss' });
    });
  }

  it('shows a player on a phone what is at hand, and everything else one tap away', async () => {
    resize(390, 844);
    const bench = frame.bench()!;
    const root = bench.shadowRoot!;
    await until('the pages', () => root.querySelector('.pages') !== null);
    const turnTo = async (title: string) => {
      const tabs = [...root.querySelectorAll<HTMLElement>('.pages button')];
      tabs.find(({ textContent }) => textContent === title)!.click();
      await drawn(bench);
    };
    const asked: boolean[] = [];
    const { session } = bench;
    const { wantScope } = session;
    session.wantScope = (isWanted, nets) => {
      asked.push(isWanted);
      wantScope.call(session, isWanted, nets);
    };
    for (const [page, isWanted] of [
      ['Plots', false],
      ['Play', true],
      ['Controls', false],
    ] as const) {
      await turnTo(page);
      assert.equal(asked.at(-1), isWanted, `live plots on ${page}`);
    }
    session.wantScope = wantScope;
    const { selected } = bench.store.state;
    bench.store.act({ type: 'refuse', ref: selected, slot: 'a', message: 'Refused.' });
    const isNotified = () => noticeBar(bench)!.textContent?.includes('Refused.') === true;
    for (const [page, isInNotice] of [
      ['Play', true],
      ['Part', false],
      ['Ear', true],
    ] as const) {
      await turnTo(page);
      assert.equal(isNotified(), isInNotice, `a refusal on ${page}`);
    }
    bench.store.act({ type: 'dismiss' });
    for (const [page, seen] of Object.entries(PHONE_SEEN)) {
      await turnTo(page);
      const unseen = () =>
        [...seen, ...ALWAYS_SEEN].flatMap((each) => (isSeen(each, 390, 844) ? [] : [each.join(' ')]));
      await until(
        () => `on ${page}: ${unseen().join(', ')}`,
        () => unseen().length === 0,
      );
      assert.deepEqual(smallTargets(root), [], `for a finger on ${page}`);
      const { documentElement } = frame.page.document;
      assert.deepEqual([documentElement.scrollWidth, documentElement.scrollHeight], [390, 844], page);
      const main = root.querySelector('main') ?? root.querySelector('ear-room, solder-room')!;
      assert.isAtMost(main.scrollWidth, 390, page);
    }
    // WCAG 1.4.10: no scrolling in two directions at 320 px; and a window of 1440x900 at 200 % (WCAG 1.4.4).
    for (const [width, height] of [
      [320, 640],
      [720, 450],
    ] as const) {
      resize(width, height);
      for (const page of Object.keys(PHONE_SEEN)) {
        await turnTo(page);
        assert.equal(frame.page.document.documentElement.scrollWidth, width, page);
        const main = root.querySelector('main') ?? root.querySelector('ear-room, solder-room')!;
        assert.isAtMost(main.scrollWidth, width, page);
      }
    }
    await turnTo('Play');
  });

  it('shows one of several notices with their number, and all in full after a click', async () => {
    resize(1440, 760);
    const bench = frame.bench()!;
    const sheet = () => bench.shadowRoot!.querySelector('build-schematic')!.getBoundingClientRect().top;
    const texts = () =>
      [...noticeBar(bench)!.querySelectorAll('p')].filter(
        (each) => each.clientWidth > 1 && isInSight(each, 1440, 760),
      );
    const more = () => noticeBar(bench)!.querySelector<HTMLElement>('.more');
    await drawn(bench);
    assert.lengthOf(texts(), 1, 'the welcome');
    assert.isNull(more());
    bench.session.report('swaps', 'A swap failed.');
    bench.session.report('dropouts', `Dropouts at 16×. ${'Now at 8×. '.repeat(40)}`);
    await drawn(bench);
    assert.deepEqual(
      texts().map(({ textContent }) => textContent),
      ['A swap failed.'],
    );
    assert.include(more()!.textContent, '2 more');
    const before = sheet();
    more()!.click();
    await drawn(bench);
    assert.lengthOf(texts(), 3);
    for (const text of texts()) assert.isAtMost(text.scrollWidth, text.clientWidth, text.textContent ?? '');
    assert.equal(sheet(), before);
    bench.session.report('swaps', undefined);
    bench.session.report('dropouts', undefined);
  });

  it('changes the supply of one build where the other conditions are, and tells the change in one line', async () => {
    const bench = frame.bench()!;
    const conditions = inside('conditions-panel', 'details') as HTMLDetailsElement;
    assert.include(conditions.querySelector('.line')!.textContent, 'supply 9 V');
    conditions.open = true;
    const field = conditions.querySelector<HTMLInputElement>('[aria-label="Supply of build B, volts"]')!;
    for (const [typed, shown] of [
      ['18', '18V'],
      ['900', '18V'],
    ] as const) {
      field.value = typed;
      field.dispatchEvent(new Event('change', { bubbles: true }));
      await drawn(bench);
      assert.equal(field.value, shown);
    }
    assert.equal(bench.store.state.builds.b.parts['V1']?.value, '18V');
    assert.equal(bench.store.state.builds.a.parts['V1']?.value, '9V');
    assert.include(conditions.querySelector('.line')!.textContent, 'A supply 9 V, B supply 18 V');
    assert.include(bench.store.state.refusal?.message, '900');
    assert.isTrue(isInSight(inside('conditions-panel', '.body')!, 1440, 760));
    conditions.open = false;
  });
});
