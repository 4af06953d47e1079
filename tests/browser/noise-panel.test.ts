import axe from 'axe-core';
import { assert } from 'chai';
import { buildNoise } from '../../engine/analysis/build-noise.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import { voltsToDbu } from '../../engine/units/decibels.ts';
import type { ClipleadBench } from '../../ui/bench.ts';
import { presetNamed } from '../../ui/state/presets.ts';
import '../../ui/main.ts';
import { until } from './until.ts';

let bench: ClipleadBench;

function panel(): ShadowRoot {
  const root = bench.shadowRoot?.querySelector('noise-panel')?.shadowRoot;
  if (!root) throw new Error('the bench has no noise panel');
  return root;
}

/** The text of the panel, without the spaces of the markup. */
const text = () => (panel().textContent ?? '').replace(/\s+/g, ' ');

/** Waits until the panel, which is drawn while the page is idle, has a text. */
function shown(isThere: () => boolean): Promise<void> {
  return until(() => `in the noise panel, which says: ${text()}`, isThere);
}

/** The engine's level, formatted as in the panel. */
function levelOf(slot: 'a' | 'b'): string {
  const conditions = {
    input: 'pickup',
    temperatureK: NOMINAL_TEMPERATURE_K,
    isBypassed: false,
    around: {},
  } as const;
  const { weightedV } = buildNoise(bench.store.state.builds[slot], conditions);
  return `${voltsToDbu(weightedV).toFixed(1).replace('-', '−')} dBu`;
}

describe('the noise panel', () => {
  beforeEach(async () => {
    localStorage.clear();
    bench = document.createElement('cliplead-bench') as ClipleadBench;
    document.body.append(bench);
    await bench.updateComplete;
  });
  afterEach(() => bench.remove());

  it('shows the engine’s levels of both builds, their difference, and the part with the most noise', async () => {
    bench.store.act({ type: 'load', slot: 'b', build: presetNamed('soft-led') });
    await bench.updateComplete;
    await shown(() => text().includes(levelOf('b')));
    assert.include(text(), levelOf('a'));
    assert.match(text(), /B hisses \d+\.\d dB (less|more) than A\./);
    assert.include(text(), 'single-coil pickup');
    // The engine's tests check which part this is; here it must be a part of these builds.
    assert.match(text(), /\(\d+ %\) is (Q1|U1A|R4|VR3)'s/);
  });

  it('changes with a swap, and says when two builds hiss equally', async () => {
    bench.store.act({ type: 'copy', from: 'a', to: 'b' });
    await shown(() => text().includes('A and B hiss equally'));
    bench.store.act({ type: 'setPart', slot: 'b', ref: 'U1', setting: { type: 'MC1458' } });
    await shown(() => /B hisses \d+\.\d dB more than A/.test(text()));
    assert.include(text(), levelOf('b'));
  });

  it('turns the builds’ noise on and off, and has no accessibility violations', async () => {
    await shown(() => text().includes('dBu'));
    const box = panel().querySelector<HTMLInputElement>('input[type="checkbox"]');
    box?.click();
    assert.isTrue(bench.store.state.hearsNoise);
    box?.click();
    assert.isFalse(bench.store.state.hearsNoise);
    const { violations } = await axe.run(bench, { resultTypes: ['violations'] });
    assert.deepEqual(
      violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ target }) => target)}`),
      [],
    );
  });
});
