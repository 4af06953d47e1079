import { assert } from 'chai';
import type { ClipleadBench } from '../../ui/bench.ts';
import { soundAhead } from '../../ui/state/matched-sound.ts';
import type { Slot } from '../../worklets/bench-messages.ts';
import '../../ui/main.ts';
import { benchDrawn, closeBench, openedBench, playString } from './opened-bench.ts';
import { played } from './played.ts';
import { until } from './until.ts';

let bench: ClipleadBench;
/** The builds that the audio thread was told to play, in order: only the test sees them. */
let asked: Slot[];

const drawn = () => benchDrawn(bench);

function panel(): ShadowRoot {
  const root = bench.shadowRoot
    ?.querySelector('ear-room')
    ?.shadowRoot?.querySelector('blind-panel')?.shadowRoot;
  if (!root) throw new Error('there is no blind test');
  return root;
}

const beginButton = () =>
  [...panel().querySelectorAll('button')].find(({ textContent }) => textContent?.trim() === 'Begin');

async function press(words: string): Promise<void> {
  const button = [...panel().querySelectorAll('button')].find(
    ({ textContent }) => textContent?.trim() === words,
  );
  if (!button) throw new Error(`there is no button "${words}"`);
  button.click();
  await drawn();
}

/** Everything in the page, with its shadow trees: text, attributes and properties of controls. */
function wholePage(root: ParentNode = document.body): string {
  return [...root.querySelectorAll('*')]
    .map((element) => {
      const attributes = [...element.attributes].map(({ name, value }) => `${name}=${value}`).join(' ');
      const own = [...element.childNodes]
        .filter(({ nodeType }) => nodeType === 3)
        .map((node) => node.textContent);
      return `${element.localName} ${attributes} ${own.join('')} ${element.shadowRoot ? wholePage(element.shadowRoot) : ''}`;
    })
    .join('\n');
}

/** Sets the level match directly, as if it had been measured. */
async function beginTest(kind: 'abx' | 'preference', trials: number): Promise<void> {
  const sound = soundAhead(bench.store.state);
  bench.store.act({ type: 'ear', change: { blindKind: kind, blindTrials: trials } });
  bench.store.act({
    type: 'match',
    match: { ...bench.store.state.match, db: { a: 0, b: -3.2 }, sound },
  });
  await drawn();
  await until('the estimate of the solver', () => !beginButton()?.disabled);
  await press('Begin');
}

describe('a blind test', () => {
  beforeEach(async () => {
    bench = await openedBench();
    bench.store.act({ type: 'view', view: 'ear' });
    bench.store.act({ type: 'output', db: -40 });
    await playString(bench);
    await until('sound', () => bench.session.state.isRunning);
    await played(bench.session, 0.5);
    asked = [];
    const hear = bench.session.hear.bind(bench.session);
    bench.session.hear = (slot) => {
      asked.push(slot);
      hear(slot);
    };
  });
  afterEach(() => closeBench(bench));

  it('begins only with matched levels, and says so', async () => {
    assert.include(panel().textContent ?? '', 'Wait until levels are matched.');
    assert.isTrue(beginButton()?.disabled);
  });

  it('gives a listener who hears the difference the p of the binomial table, and does not show before what X is', async () => {
    await beginTest('abx', 8);
    const pages: Record<Slot, string[]> = { a: [], b: [] };
    for (let trial = 0; trial < 8; trial++) {
      await press('X');
      const x = asked.at(-1) as Slot;
      const page = wholePage().replace(/Trial \d+/, 'Trial');
      pages[x].push(page);
      assert.notInclude(JSON.stringify(bench.store.state.ear.blindTest), x === 'a' ? '"hidden"' : '"source"');
      await press(x === 'a' ? 'X is A' : 'X is B');
    }
    // the page was the same whether X was A or B
    assert.equal(new Set([...pages.a, ...pages.b]).size, 1);
    const words = panel().textContent ?? '';
    // 1/2^8 = 0.39 %, the binomial table for 8 of 8
    assert.match(words, /8 of 8 right.*0\.39 %/s);
    assert.include(words, 'It does not say how large the difference is');
    assert.equal(bench.store.state.ear.blindTest, undefined);
    const kept = JSON.parse(bench.store.state.ear.blindResults[0]?.json ?? '{}');
    assert.equal(kept.correct, 8);
    assert.equal(kept.builds.b.parts.D1, 'LED-red');
  });

  it('is controlled by its keys and by the space bar, changes nothing else, and can be stopped', async () => {
    await beginTest('abx', 4);
    const key = (name: string) =>
      document.body.dispatchEvent(
        new KeyboardEvent('keydown', { key: name, bubbles: true, cancelable: true }),
      );
    key('b');
    assert.equal(asked.at(-1), 'b');
    key('a');
    assert.equal(asked.at(-1), 'a');
    key(' ');
    assert.equal(asked.at(-1), 'b');
    const before = bench.store.state.builds;
    key('ArrowUp');
    assert.strictEqual(bench.store.state.builds, before);
    assert.notExists(
      bench.shadowRoot?.querySelector(
        'build-schematic, plots-panel, controls-panel, input-panel, switch-panel',
      ),
    );
    await press('Stop and discard');
    assert.equal(bench.store.state.ear.blindResults.length, 0);
  });

  it('does not count a trial in which the limiter worked', async () => {
    await beginTest('abx', 4);
    const { match } = bench.store.state;
    // loud enough for any limiter; at this moment only the limiter could report this
    bench.store.act({ type: 'match', match: { ...match, db: { a: 30, b: 30 } } });
    bench.store.act({ type: 'output', db: 6 });
    await until('a notice', () => panel().querySelector('[role="alert"]') !== null);
    assert.match(
      panel().querySelector('[role="alert"]')?.textContent ?? '',
      /does not count: the limiter was active/,
    );
    bench.store.act({ type: 'output', db: -40 });
    assert.isAbove(bench.store.state.ear.blindTest?.test.trials.length ?? 0, 1);
  });

  it('asks for a preference under hidden names', async () => {
    await beginTest('preference', 2);
    for (let trial = 0; trial < 2; trial++) {
      await press('2');
      await press(asked.at(-1) === 'b' ? '2 is better' : '1 is better');
    }
    assert.match(panel().textContent ?? '', /A was preferred 0 times and B 2 times of 2/);
  });
});
