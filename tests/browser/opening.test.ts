import { assert } from 'chai';
import openBenchUrl from '../../ui/opening/open-bench.ts?url';
import { isDrawn, notices, type OpenedFrame, openFrame, type Page, removeFrames } from './opened-frame.ts';
import { until } from './until.ts';

/** A page that loads the bench in another way. */
function opening(load: string): Promise<OpenedFrame> {
  return openFrame(
    () => {},
    `import { openBench } from ${JSON.stringify(new URL(openBenchUrl, location.href).href)};
     openBench(async () => { ${load} });`,
  );
}

/** Code that makes a component whose constructor throws. */
const THROWING = `return class extends HTMLElement { constructor() { super(); throw new Error('no state'); } }`;

/** Replaces the definition of a component. */
function defining(
  name: string,
  instead: (
    page: Page,
    define: (element: CustomElementConstructor) => void,
    element: CustomElementConstructor,
  ) => void,
): (page: Page) => void {
  return (page) => {
    const registry = page.customElements;
    const define = registry.define.bind(registry);
    registry.define = (each, element) => {
      if (each === name) instead(page, (other) => define(name, other), element);
      else define(each, element);
    };
  };
}

function raise(page: Page, message: string): never {
  throw new page.Error(message);
}

describe('a page whose bench cannot be opened', () => {
  beforeEach(() => localStorage.clear());
  afterEach(removeFrames);

  const BROKEN: readonly (readonly [what: string, open: () => Promise<OpenedFrame>, reason: string])[] = [
    [
      'a chunk does not load',
      () => opening(`await import('/site/no-such-chunk.js')`),
      'Cliplead could not start (',
    ],
    [
      'a module throws',
      () => openFrame(defining('part-card', (page) => raise(page, 'no presets'))),
      'Cliplead could not start (no presets).',
    ],
    [
      'the bench itself throws',
      () =>
        openFrame(
          // The frame's own code, so that its errors are reported there.
          defining('cliplead-bench', (page, define) => define(page.Function(THROWING)())),
        ),
      'Cliplead could not start (no state).',
    ],
    [
      'nothing is drawn',
      () => openFrame(defining('cliplead-bench', () => {})),
      'Cliplead could not start (it draws nothing).',
    ],
    [
      'a part of it throws as it is drawn',
      () =>
        openFrame(
          defining('part-card', (page, define, element) => {
            element.prototype.render = () => raise(page, 'a card without a part');
            define(element);
          }),
        ),
      'A part of the page could not be shown (a card without a part).',
    ],
  ];
  for (const [what, open, reason] of BROKEN) {
    it(`says so in one sentence if ${what}`, async () => {
      const frame = await open();
      await until('a sentence', () => frame.sentence() !== undefined);
      assert.include(frame.sentence(), reason);
      const ways = [...frame.page.document.querySelectorAll('.rescue > .ways button')];
      assert.deepEqual(
        ways.map(({ textContent }) => textContent),
        ['Reload', 'Save my data', 'Start afresh…'],
      );
    });
  }

  it('does not replace the page after an error that did no damage', async () => {
    const frame = await openFrame();
    await until('the bench', () => isDrawn(frame));
    frame.page.dispatchEvent(new frame.page.ErrorEvent('error', { message: 'from an extension' }));
    await new Promise((resolve) => frame.page.setTimeout(resolve, 50));
    assert.isUndefined(frame.sentence());
  });

  it('offers the builds as files, and deletes the kept data only when the user asks for it', async () => {
    localStorage.setItem('cliplead-bench', JSON.stringify({ a: '{"title":"A"}', b: '{"title":"B"}' }));
    localStorage.setItem('another-page', 'stays');
    const frame = await openFrame(defining('part-card', (page) => raise(page, 'no presets')));
    await until('a sentence', () => frame.sentence() !== undefined);
    const { document } = frame.page;
    // A test saves no real files.
    document.addEventListener('click', (event) => event.preventDefault(), { capture: true });
    const press = (text: string) =>
      [...document.querySelectorAll('button')].find((button) => button.textContent === text)?.click();
    press('Save my data');
    await until('links', () => document.querySelectorAll('.rescue a').length > 0);
    const links = [...document.querySelectorAll<HTMLAnchorElement>('.rescue a')];
    assert.includeMembers(
      links.map(({ download }) => download),
      ['build-A.build.json', 'build-B.build.json', 'cliplead.json'],
    );
    assert.equal(await (await fetch(links[0]!.href)).text(), '{"title":"A"}');
    press('Start afresh…');
    assert.isNotNull(localStorage.getItem('cliplead-bench'));
    assert.isFalse(document.querySelector<HTMLElement>('.rescue form')!.hidden);
  });
});

/** Removes something from a page. */
function without(...names: readonly string[]): (page: Page) => void {
  return (page) => {
    for (const name of names) {
      Reflect.deleteProperty(page, name);
      if (name in page) Object.defineProperty(page, name, { value: undefined, configurable: true });
    }
  };
}

describe('a browser that lacks something', () => {
  beforeEach(() => localStorage.clear());
  afterEach(removeFrames);

  it('says that it has no WebAssembly, or that it refuses it', async () => {
    const lacking = await openFrame(without('WebAssembly'));
    await until('a sentence', () => lacking.sentence() !== undefined);
    assert.include(lacking.sentence(), 'has no WebAssembly');
    const refusing = await openFrame((page) => {
      page.WebAssembly.Module = class {
        constructor() {
          throw new page.WebAssembly.CompileError('refused by the policy');
        }
      } as unknown as typeof WebAssembly.Module;
    });
    await until('a sentence', () => refusing.sentence() !== undefined);
    assert.include(refusing.sentence(), 'refuses WebAssembly');
  });

  const LESSER: readonly (readonly [what: string, spoil: (page: Page) => void])[] = [
    ['ResizeObserver', without('ResizeObserver')],
    ['locks and persistent storage', (page) => without('locks', 'storage')(page.navigator as never)],
    [
      'a list of devices',
      (page) => Object.defineProperty(page.navigator.mediaDevices, 'enumerateDevices', { value: undefined }),
    ],
    [
      'a list of devices that may be read',
      (page) => {
        const refuse = () => Promise.reject(new page.DOMException('no', 'NotAllowedError'));
        Object.defineProperty(page.navigator.mediaDevices, 'enumerateDevices', { value: refuse });
      },
    ],
    ['media devices', (page) => Object.defineProperty(page.navigator, 'mediaDevices', { value: undefined })],
    ['randomUUID', (page) => Object.defineProperty(page.crypto, 'randomUUID', { value: undefined })],
  ];
  for (const [what, spoil] of LESSER) {
    it(`shows the bench without ${what}`, async () => {
      const frame = await openFrame(spoil);
      await until('the bench or a sentence', () => isDrawn(frame) || frame.sentence() !== undefined);
      await until('the plots', () => frame.bench()?.shadowRoot?.querySelector('plots-panel') != null);
      assert.isUndefined(frame.sentence());
      assert.deepEqual(frame.errors, []);
    });
  }

  it('shows the bench without plots if there is no matchMedia, which they need', async () => {
    const frame = await openFrame(without('matchMedia'));
    await until('a notice', () => notices(frame).length > 0);
    assert.deepEqual(notices(frame), ['Plots and warnings could not be loaded. Reload the page.']);
    assert.isTrue(isDrawn(frame));
    assert.deepEqual(frame.errors, []);
  });

  it('shows the bench without plots if it runs no workers, and says so', async () => {
    const frame = await openFrame(without('Worker'));
    await until('both notices', () => notices(frame).length > 1);
    assert.sameMembers(notices(frame), [
      'There are no plots and no warnings: this browser runs no workers.',
      'Each swap stops the page for a moment, since this browser runs no workers.',
    ]);
    assert.isTrue(isDrawn(frame));
    assert.deepEqual(frame.errors, []);
  });

  const SILENT: readonly (readonly [what: string, spoil: (page: Page) => void, reason: string])[] = [
    [
      'there is no Web Audio',
      without('AudioContext', 'BaseAudioContext', 'AudioWorkletNode', 'AudioWorklet', 'OfflineAudioContext'),
      'This browser has no Web Audio, so there is no sound.',
    ],
    [
      'no context can be had',
      (page) => {
        page.AudioContext = class {
          constructor() {
            throw new page.DOMException('no device', 'NotSupportedError');
          }
        } as unknown as typeof AudioContext;
      },
      'Sound could not be started (no device). Press Listen to try again.',
    ],
  ];
  for (const [what, spoil, reason] of SILENT) {
    it(`shows the bench, and says on Listen that there is no sound, if ${what}`, async () => {
      const frame = await openFrame(spoil);
      await until('the bench', () => isDrawn(frame));
      frame.bench()!.store.act({ type: 'listen', isListening: true });
      await until('a notice', () => notices(frame).length > 0);
      assert.include(notices(frame)[0], reason);
      assert.deepEqual(frame.errors, []);
    });
  }
});
