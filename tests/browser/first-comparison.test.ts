import { assert } from 'chai';
import type { ClipleadBench } from '../../ui/bench.ts';
import { matchErrorOverRoundsDb } from '../../ui/ear/level-check.ts';
import { SLOTS } from '../../worklets/bench-messages.ts';
import { closeBench, openedBench } from './opened-bench.ts';
import { until } from './until.ts';
import '../../ui/main.ts';

let bench: ClipleadBench;

const inside = (selector: string) => bench.shadowRoot!.querySelector(selector)!;

/** The line about the levels below A and B. */
async function line(): Promise<string> {
  await bench.updateComplete;
  const text = inside('switch-panel').shadowRoot!.querySelector('[role="status"]')!.textContent!;
  return text.replace(/\s+/g, ' ').trim();
}

/** Numbers of the steps that are ticked; undefined where there are no steps. */
async function ticked(): Promise<string | undefined> {
  await bench.updateComplete;
  const text = inside('notice-bar').shadowRoot!.textContent!;
  const all = [...text.matchAll(/(✓ )?(\d)\. /g)];
  return all.length === 0 ? undefined : all.map(([, tick, number]) => (tick ? number : '')).join('');
}

const pressSpace = () =>
  document.body.dispatchEvent(new KeyboardEvent('keydown', { key: ' ', bubbles: true, composed: true }));
const isMatched = async () => /^[AB] matched: [+−]?\d+\.\d dB\.$/.test(await line());

/** The levels of A and B over whole loops, dB apart; undefined until a loop has ended. */
function errorDb(): number | undefined {
  const { roundSeconds } = bench.session.state;
  return matchErrorOverRoundsDb(bench.store.state.match, bench.session.readTelemetry(), roundSeconds ?? 0);
}

describe('the first comparison', () => {
  before(async () => {
    bench = await openedBench();
  });
  after(() => closeBench(bench));

  it('is fair after two actions: Listen, and the space bar', async () => {
    const { a, b } = bench.store.state.builds;
    const differing = Object.keys(a.parts).filter((ref) => a.parts[ref]!.type !== b.parts[ref]!.type);
    assert.deepEqual(differing, ['D1', 'D2']);
    assert.notInclude(await line(), 'matched:');
    const listen = [...inside('output-panel').shadowRoot!.querySelectorAll('button')].find(
      ({ textContent }) => textContent?.trim() === 'Listen',
    );
    listen!.click();
    await until('matched', isMatched);
    pressSpace();
    assert.equal(bench.store.state.heard, 'b');
    assert.isTrue(await isMatched());
  });

  it('ticks the steps that have been done, and leaves for good after the last', async () => {
    assert.equal(await ticked(), '13');
    bench.store.act({
      type: 'setPart',
      slot: 'b',
      ref: 'D1',
      setting: { type: 'OA91' },
      others: { D2: { type: 'OA91' } },
    });
    await until('the swap', () => bench.store.state.builds.b.parts['D1']?.type === 'OA91');
    // What the line says belongs to the present builds, or does not say "matched".
    for (const slot of SLOTS)
      if (await isMatched())
        assert.equal(bench.store.state.match.sound?.builds[slot], bench.store.state.builds[slot]);
    await until('the steps gone', async () => (await ticked()) === undefined);
    assert.equal(localStorage.getItem('cliplead-welcomed'), 'yes');
  });

  it('has levels within 0.2 dB over whole loops', async () => {
    await until('matched', isMatched);
    await until('whole loops', () => errorDb() !== undefined);
    assert.closeTo(errorDb()!, 0, 0.2);
  });

  it('says "Matching…" after a change until it is matched again, and nothing of it where that is off', async () => {
    bench.store.act({ type: 'temperature', celsius: 45 });
    await until('45 degrees', () => bench.store.state.temperatureC === 45);
    assert.match(await line(), /^Matching…$|matched: /);
    bench.store.act({ type: 'turnKnob', slot: 'b', name: 'gain', rotation: 0.2, isAlone: true });
    assert.equal(await line(), 'Matching…');
    await until('matched', isMatched);
    const box = inside('switch-panel').shadowRoot!.querySelector('input')!;
    box.click();
    assert.include(await line(), 'As soldered: levels are not matched.');
    assert.deepEqual(bench.store.state.match.db, { a: 0, b: 0 });
  });
});
