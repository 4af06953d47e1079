import axe from 'axe-core';
import { assert } from 'chai';
import type { LitElement } from 'lit';
import type { ClipleadBench } from '../../ui/bench.ts';
import { noticeBar } from './opened-bench.ts';
import '../../ui/main.ts';
import { until } from './until.ts';

const Native = globalThis.AudioContext;

describe('dropouts', () => {
  let bench: ClipleadBench;
  /** The last that was opened. */
  let context: AudioContext;
  /** The browser's counts. */
  let underrunEvents = 0;

  beforeEach(async () => {
    underrunEvents = 0;
    globalThis.AudioContext = class extends Native {
      constructor(options?: AudioContextOptions) {
        super(options);
        context = this;
      }

      get playbackStats() {
        return { underrunEvents };
      }
    };
    localStorage.clear();
    bench = document.createElement('cliplead-bench') as ClipleadBench;
    document.body.append(bench);
    bench.store.act({ type: 'listen', isListening: true });
    await until('running and counted', () => bench.session.readUnderruns() !== undefined);
  });

  afterEach(async () => {
    globalThis.AudioContext = Native;
    await bench.session.stop();
    bench.remove();
    localStorage.clear();
  });

  /** This many dropouts happen, and are reported. */
  async function dropOut(count: number): Promise<void> {
    const before = bench.session.state.dropouts.count;
    underrunEvents += count;
    await until('told', () => bench.session.state.dropouts.count === before + count);
  }

  async function textOf(component: string): Promise<string> {
    await bench.updateComplete;
    const element = bench.shadowRoot!.querySelector<LitElement>(component)!;
    await element.updateComplete;
    return (element.shadowRoot!.textContent ?? '').replace(/\s+/g, ' ');
  }

  const notices = () =>
    [...noticeBar(bench)!.querySelectorAll('[role=alert] p')].map((each) => each.textContent).join(' | ');

  it('are counted in the status line and listed under Sound…', async () => {
    assert.notInclude(await textOf('output-panel'), 'dropout');
    assert.include(await textOf('sound-settings'), 'None since this page was opened.');
    const { factor } = bench.session.state.rate;
    await dropOut(2);
    assert.match(await textOf('output-panel'), /Load \d+ %, 2 dropouts, /);
    assert.match(
      await textOf('sound-settings'),
      new RegExp(
        `2 dropouts since this page was opened, the last ones: ?[\\d:]+( [AP]M)?: 2 dropouts at ${factor}×`,
      ),
    );
    const dialog = bench.shadowRoot!.querySelector('sound-settings')!.shadowRoot!.querySelector('dialog')!;
    dialog.showModal();
    const { violations } = await axe.run(dialog);
    assert.deepEqual(
      violations.map(({ id, nodes }) => [id, nodes.map(({ html }) => html)]),
      [],
    );
  });

  it('are no longer told once the sound is off, and are counted anew after it', async () => {
    await dropOut(12);
    await until('told at the top', () => notices().startsWith('Dropouts at '));
    await context.close();
    await until('told that it is closed', () => notices().includes('The sound output was closed.'));
    assert.equal(notices(), 'The sound output was closed. Press Listen to open it again.');
    // Those of a new output, which count from its first reading on.
    underrunEvents = 40;
    bench.store.act({ type: 'listen', isListening: true });
    await until('counted', () => bench.session.readUnderruns() === 40);
    assert.equal(notices(), '');
    assert.equal(bench.session.state.dropouts.count, 12);
  });

  it('are not what is missing while the browser has paused the sound, whose clock stands still', async () => {
    await context.suspend();
    await until('paused', () => !bench.session.state.isRunning);
    assert.isUndefined(bench.session.readUnderruns());
    underrunEvents = 40;
    bench.store.act({ type: 'listen', isListening: true });
    await until('counted', () => bench.session.readUnderruns() === 40);
    assert.equal(bench.session.state.dropouts.count, 0);
  });

  it('lower the rate to the lowest, where the page reports a too slow machine in place of the load', async () => {
    // Swaps one after another, so that the rate is never measured.
    const swap = (n: number) => {
      const setting = n % 2 === 0 ? ({ type: '1N4148', fit: 'open' } as const) : { type: '1N4148' };
      bench.store.act({ type: 'setPart', slot: 'a', ref: 'D1', setting });
    };
    await bench.updateComplete;
    for (let n = 0; bench.session.state.rate.factor !== 4 && n < 10; n++) {
      swap(n);
      await dropOut(12);
      await new Promise((resolve) => requestAnimationFrame(() => requestAnimationFrame(resolve)));
    }
    await until('at 4x', () => bench.session.state.rate.factor === 4);
    await bench.updateComplete;
    assert.match(notices(), /^Dropouts at (16|8)×\. Now at (8|4)×\./);
    await dropOut(12);
    await until('too slow', () => (bench.session.state.problems.dropouts ?? '').includes('too slow'));
    await bench.updateComplete;
    assert.include(
      notices(),
      'Dropouts at 4×, the lowest rate: this machine is too slow for these builds, or too busy.',
    );
    const text = await textOf('output-panel');
    assert.match(text, /\d+ dropouts, /);
    assert.notInclude(text, 'Load');
  });
});
