import { assert } from 'chai';
import { buildWarnings } from '../../engine/analysis/build-warnings.ts';
import { kelvinOf } from '../../engine/network/temperature.ts';
import type { ClipleadBench } from '../../ui/bench.ts';
import { presetNamed } from '../../ui/state/presets.ts';
import { noticeBar } from './opened-bench.ts';
import '../../ui/main.ts';
import { until } from './until.ts';

let bench: ClipleadBench;

/** The warnings of build A on the page. */
const shown = () =>
  [...(noticeBar(bench)?.querySelectorAll('.notice.problem p') ?? [])]
    .map((notice) => notice.textContent ?? '')
    .filter((text) => text.startsWith('A: '));

/** The same from the engine for the present bench: what `cliplead voltages` prints. */
function expected(): readonly string[] {
  const { builds, temperatureC } = bench.store.state;
  return buildWarnings(builds.a, kelvinOf(temperatureC)).map(({ message }) => `A: ${message}`);
}

/** Waits until the page shows the engine's warnings; a busy browser needs time. */
function follow(): Promise<void> {
  return until(
    () => `the warnings ${expected().join()}, but ${shown().join()}`,
    () => shown().join() === expected().join(),
  );
}

describe('warnings on the page', () => {
  before(async () => {
    localStorage.clear();
    bench = document.createElement('cliplead-bench') as ClipleadBench;
    document.body.append(bench);
    await bench.updateComplete;
  });
  after(() => bench.remove());

  it('change with swap, temperature, supply, knob and undo', async () => {
    const said = new Set<string>();
    const noted = async () => {
      // Until the swap is made, page and engine agree about the build of before.
      await bench.updateComplete;
      await follow();
      said.add(shown().join());
    };
    bench.store.act({ type: 'load', slot: 'a', build: presetNamed('clean-plain') });
    await noted();
    assert.deepEqual(shown(), []);
    bench.store.act({ type: 'setPart', slot: 'a', ref: 'U2', setting: { type: 'TLC2262' } });
    await noted();
    assert.match(shown()[0] ?? '', /U2 \(TLC2262\) sees/);
    for (const temperatureC of [-10, 60]) {
      bench.store.act({ type: 'temperature', celsius: temperatureC });
      await noted();
    }
    bench.store.act({ type: 'setPart', slot: 'a', ref: 'V1', setting: { value: '12V' } });
    await noted();
    bench.store.act({ type: 'turnKnob', slot: 'a', name: 'gain', rotation: 0.9 });
    await noted();
    // None at first, and another set after each change except the knob's, which changes no voltage at rest.
    assert.isAtLeast(said.size, 4);
    bench.store.act({ type: 'undo' });
    bench.store.act({ type: 'undo' });
    bench.store.act({ type: 'undo' });
    await noted();
  });
});
