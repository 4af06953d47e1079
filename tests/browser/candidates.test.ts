import { assert } from 'chai';
import type { ClipleadBench } from '../../ui/bench.ts';
import { closeBench, openedBench, playString } from './opened-bench.ts';
import { until } from './until.ts';
import '../../ui/main.ts';

const NAMES = ['1N34A', 'BAT46', 'LED-red', '1N4001', 'OA91', '1N5817'];

let bench: ClipleadBench;
/** Keys and buttons that were pressed after the list was set up. */
let presses = 0;

const panel = () =>
  bench.shadowRoot!.querySelector('ear-room')!.shadowRoot!.querySelector('candidates-panel')!.shadowRoot!;
const run = () => bench.store.state.ear.candidates!;
const buttons = () => [...panel().querySelectorAll('button')];
const button = (text: string) => buttons().find(({ textContent }) => textContent?.trim() === text)!;

async function press(key: string): Promise<void> {
  presses++;
  for (const type of ['keydown', 'keyup'])
    document.body.dispatchEvent(new KeyboardEvent(type, { key, bubbles: true, composed: true }));
  await bench.store.settled();
  await bench.updateComplete;
}

/** Everything on the page that is read, seen or said: texts, attributes, values. */
function shown(node: Node): string {
  const own = node.nodeType === Node.TEXT_NODE ? (node.textContent ?? '') : '';
  const attributes = node instanceof Element ? [...node.attributes].map(({ value }) => value).join(' ') : '';
  const typed = node instanceof HTMLInputElement ? node.value : '';
  const inner =
    node instanceof Element && node.shadowRoot ? [node.shadowRoot, ...node.childNodes] : node.childNodes;
  return [own, attributes, typed, ...[...inner].map(shown)].join('\n');
}

describe('candidates by ear', () => {
  before(async () => {
    bench = await openedBench();
    await playString(bench);
    bench.store.act({ type: 'rate', choice: 4 });
    bench.store.act({ type: 'view', view: 'ear' });
    await bench.updateComplete;
  });
  after(() => closeBench(bench));

  it('are heard with hidden names and judged with one press each, none with the mouse', async () => {
    for (const name of NAMES) button(name).click();
    await bench.updateComplete;
    panel().querySelector<HTMLInputElement>('input[type="checkbox"]')!.click();
    await bench.updateComplete;
    button('Start').click();
    await until('the levels of all', () => run()?.at === 0);
    await bench.store.settled();
    await bench.updateComplete;
    const heard = new Set<string | undefined>();
    for (const key of ['1', '2', '3', '1', '2', '3']) {
      const { d1, d2 } = {
        d1: bench.store.state.builds.b.parts['D1'],
        d2: bench.store.state.builds.b.parts['D2'],
      };
      assert.deepEqual(d1, d2);
      heard.add(d1?.type);
      assert.equal(bench.store.state.heard, 'b');
      const page = shown(bench);
      for (const name of NAMES) assert.notInclude(page, name);
      assert.notMatch(page, /matched: /, 'its gain might tell which it is');
      await press(key);
    }
    assert.sameMembers([...heard], NAMES);
    await press('?');
    const keys = bench.shadowRoot!.querySelector('hands-dialog')!.shadowRoot!.querySelector('dialog')!;
    assert.isTrue(keys.open, 'the list of keys, also while names are hidden');
    keys.close();
    assert.isAtMost(presses, 12);
    const said = run().list.map(({ verdict }) => verdict);
    assert.deepEqual(said, ['better', 'same', 'worse', 'better', 'same', 'worse']);
  });

  it('are matched from their first note, since their levels were computed before', async () => {
    await press('.');
    assert.equal(bench.store.state.match.sound?.builds.b, bench.store.state.builds.b);
    assert.isFalse(bench.store.state.match.isEstimate);
    await press(' ');
    assert.equal(bench.store.state.heard, 'a');
  });

  it('are named after the end, with their verdicts, and B is as before', async () => {
    button('End, B as before').click();
    await bench.updateComplete;
    assert.equal(bench.store.state.builds.b.parts['D1']?.type, 'LED-red');
    const { text } = run().list[0]!;
    assert.include(panel().textContent!.replace(/\s+/g, ' '), `last verdicts: ${text} better than A;`);
  });
});
