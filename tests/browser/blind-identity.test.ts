import axe from 'axe-core';
import { assert } from 'chai';
import { encodeWav } from '../../engine/audio/wav.ts';
import type { ClipleadBench } from '../../ui/bench.ts';
import type { Action } from '../../ui/state/bench-state.ts';
import { forgetRiff, loadRiffs } from '../../ui/state/kept-riffs.ts';
import type { ToProcessor } from '../../worklets/bench-messages.ts';
import '../../ui/main.ts';
import { framesDrawn, until } from './until.ts';

const TRIALS = 6;

/** Everything that is drawn, in all shadow trees. Lit's own markers have random numbers. */
function drawnTree(root: ShadowRoot | Element): string {
  const inside = [...root.children].map((child) => {
    const own = child.cloneNode(false) as Element;
    const shadow = child.shadowRoot ? drawnTree(child.shadowRoot) : '';
    const text = [...child.childNodes].filter((node) => node instanceof Text).map((node) => node.data.trim());
    const value = child instanceof HTMLInputElement ? child.value : '';
    return `${own.outerHTML}${text.join('')}${value}${shadow}${drawnTree(child)}`;
  });
  return inside.join('\n');
}

describe('the hidden order of a blind test', () => {
  let bench: ClipleadBench;
  let restore = () => {};
  /** The messages of the page to the audio thread. */
  let messages: ToProcessor[] = [];

  beforeEach(async () => {
    localStorage.clear();
    for (const { id } of await loadRiffs()) await forgetRiff(id);
    const { postMessage } = MessagePort.prototype;
    messages = [];
    MessagePort.prototype.postMessage = function (
      this: MessagePort,
      message: ToProcessor,
      transfer?: unknown,
    ) {
      // The page sends itself empty ones, so that the browser can draw.
      if (message !== undefined) messages.push(message);
      postMessage.call(this, message, transfer as StructuredSerializeOptions);
    };
    restore = () => {
      MessagePort.prototype.postMessage = postMessage;
    };
    bench = document.createElement('cliplead-bench') as ClipleadBench;
    document.body.append(bench);
    bench.store.act({ type: 'view', view: 'ear' });
    await bench.updateComplete;
  });

  afterEach(async () => {
    await bench.session.stop();
    bench.remove();
    restore();
  });

  const act = (detail: Action) => bench.dispatchEvent(new CustomEvent('bench-action', { detail }));
  const ear = () => bench.store.state.ear;
  /** Pressed and let go: a key that stays down is a long press. */
  const press = (key: string) => {
    for (const type of ['keydown', 'keyup'])
      document.body.dispatchEvent(
        new KeyboardEvent(type, { key, code: key, bubbles: true, composed: true, cancelable: true }),
      );
  };

  function panel(): ShadowRoot {
    const room = bench.shadowRoot?.querySelector('ear-room')?.shadowRoot;
    const root = room?.querySelector('blind-panel')?.shadowRoot;
    if (!root) throw new Error('there is no blind test on the screen');
    return root;
  }

  function button(text: string): HTMLButtonElement {
    const found = findButton(text);
    if (!found) throw new Error(`there is no button "${text}"`);
    return found;
  }

  function findButton(text: string): HTMLButtonElement | undefined {
    return [...panel().querySelectorAll('button')].find((each) => each.textContent?.trim() === text);
  }

  /** A phrase of two seconds without pauses, quiet enough that the limiter does not work. */
  async function playMatched(): Promise<void> {
    const sampleRateHz = 44_100;
    const tone = Float64Array.from(
      { length: 2 * sampleRateHz },
      (_, n) => 0.1 * Math.sin((2 * Math.PI * 200 * n) / sampleRateHz),
    );
    const file = new File([new Uint8Array(encodeWav({ channels: [tone], sampleRateHz }))], 'phrase.wav');
    act({ type: 'output', db: -30 });
    act({ type: 'listen', isListening: true });
    act({ type: 'earCommand', command: { do: 'addFile', file } });
    await until('a riff that plays', () => bench.session.state.source.kind === 'riff');
    act({ type: 'match', match: { ...bench.store.state.match, isMeasuring: true } });
    await until('levels matched', () => bench.store.state.match.sound !== undefined);
  }

  async function begin(trials = TRIALS): Promise<void> {
    act({ type: 'ear', change: { blindTrials: trials } });
    await until('a test that can begin', () => findButton('Begin')?.disabled === false);
    button('Begin').click();
    await until('a test', () => ear().blindTest !== undefined && panel().querySelector('.answers') !== null);
  }

  /** Lets the audio thread report twice, which changes the place in the riff, and lets the page draw the reports. */
  async function twoReportsDrawn(): Promise<void> {
    for (let report = 0; report < 2; report++) {
      const { riffShare } = bench.session.readTelemetry();
      await until('a report', () => bench.session.readTelemetry().riffShare !== riffShare);
    }
    await framesDrawn(2);
    await bench.updateComplete;
  }

  const lastHeard = () => messages.filter((message) => message.type === 'hear').at(-1);

  /** Random choices with the given results. */
  function tossAlways(isB: boolean): void {
    const real = crypto.getRandomValues;
    crypto.getRandomValues = <T extends ArrayBufferView | null>(array: T) => {
      if (array instanceof Uint8Array) array.fill(isB ? 1 : 0);
      return array;
    };
    const before = restore;
    restore = () => {
      crypto.getRandomValues = real;
      before();
    };
  }

  it('runs from the first trial to its result, and keeps the result with both builds', async () => {
    await playMatched();
    await begin();
    for (let trial = 0; trial < TRIALS; trial++) {
      press('x');
      const heard = lastHeard();
      if (heard?.type !== 'hear') throw new Error('nothing was to be heard');
      // A listener who is always right: only the audio path knows the answer.
      button(heard.slot === 'a' ? 'X is A' : 'X is B').click();
      await bench.updateComplete;
    }
    await until('a result', () => ear().blindResults.length === 1);
    assert.isUndefined(ear().blindTest);
    const [result] = ear().blindResults;
    // Six right of six by guessing: one in 2^6.
    assert.include(result?.sentences[0], '6 of 6 right');
    assert.include(result?.sentences[0], '1.6 %');
    const file = JSON.parse(result!.json) as { builds: { a: { title: string }; b: { title: string } } };
    const { a, b } = bench.store.state.builds;
    assert.deepEqual([file.builds.a.title, file.builds.b.title], [a.title, b.title]);
    assert.include(localStorage.getItem('cliplead-blind-tests') ?? '', '6 of 6 right');
  });

  it('draws the same whether X is A or B, and sends as many messages in the same order', async () => {
    await playMatched();
    const seen = [];
    for (const isB of [false, true]) {
      tossAlways(isB);
      await begin();
      messages.length = 0;
      const drawn: string[] = [];
      for (const key of ['x', 'a', 'x', 'b', 'x', ' ']) {
        press(key);
        await twoReportsDrawn();
        drawn.push(drawnTree(bench.shadowRoot!));
      }
      button('X is A').click();
      await twoReportsDrawn();
      drawn.push(drawnTree(bench.shadowRoot!));
      seen.push({ drawn, types: messages.map(({ type }) => type), state: JSON.stringify(ear().blindTest) });
      act({ type: 'earCommand', command: { do: 'stopBlindTest' } });
      await bench.updateComplete;
    }
    assert.deepEqual(seen[1], seen[0]);
    assert.include(seen[0]!.types, 'hear');
  });

  it('hides meters, plots, schematic and lists, and allows no changes meanwhile', async () => {
    await playMatched();
    await begin();
    for (const hidden of [
      'switch-panel',
      'input-panel',
      'build-bar',
      'build-schematic',
      'plots-panel',
      'riff-panel',
    ]) {
      assert.isFalse(drawnTree(bench.shadowRoot!).includes(`<${hidden}`), hidden);
    }
    const { builds, source } = bench.store.state;
    act({ type: 'exchange' });
    act({ type: 'source', source: { kind: 'string' } });
    act({ type: 'view', view: 'bench' });
    press('e');
    const now = bench.store.state;
    assert.deepEqual([now.builds, now.source, now.view], [builds, source, 'ear']);
    const { outputPeak, limiterReductionDb } = bench.session.readTelemetry();
    await until('no level of what is heard', () => bench.session.readTelemetry().outputPeak === 0);
    assert.isDefined(outputPeak);
    assert.equal(limiterReductionDb, 0);
  });

  it('does not count a trial in which the limiter worked, and repeats it', async () => {
    await playMatched();
    await begin();
    act({ type: 'output', db: 40 });
    await until('a trial that is void', () => (ear().blindTest?.test.trials.length ?? 0) > 1);
    assert.equal(ear().blindTest?.test.trials[0]?.voided, 'limiter active');
    await until('a notice', () => panel().querySelector('[role="alert"]') !== null);
    assert.include(panel().querySelector('[role="alert"]')?.textContent, 'the limiter was active');
    // A limiter that keeps working voids one trial a second, not one a frame. Between two readings its exact time is
    // unknown.
    const counted = () => ear().blindTest!.test.trials.length;
    const isVoidAfter = async (trials: number) => {
      let beforeMs = performance.now();
      await until(`trial ${trials} void`, () => {
        if (counted() > trials) return true;
        beforeMs = performance.now();
        return false;
      });
      return { beforeMs, afterMs: performance.now() };
    };
    const first = await isVoidAfter(counted());
    const second = await isVoidAfter(counted());
    assert.isAtLeast(second.afterMs - first.beforeMs, 1000);
    let seen = { trials: 0, blocks: 0 };
    await until('the limiter at work in this trial', () => {
      const { limitedBlocks } = bench.session.readTelemetry();
      if (counted() !== seen.trials) seen = { trials: counted(), blocks: limitedBlocks };
      return limitedBlocks > seen.blocks;
    });
    const length = counted();
    button('X is A').click();
    assert.equal(ear().blindTest?.test.trials[length - 1]?.voided, 'limiter active');
    assert.equal(ear().blindTest?.test.plannedTrials, TRIALS);
  });

  it('has no accessibility violations while it runs', async () => {
    await playMatched();
    await begin();
    const { violations } = await axe.run(bench, { resultTypes: ['violations'] });
    assert.deepEqual(
      violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html).join(' ')}`),
      [],
    );
  });
});
