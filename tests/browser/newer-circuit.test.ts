import { assert } from 'chai';
import type { ClipleadBench } from '../../ui/bench.ts';
import { presetNamed } from '../../ui/state/presets.ts';
import { withNewerSoftClip } from '../made-up-revision.ts';
import { noticeBar } from './opened-bench.ts';
import '../../ui/main.ts';

/** Of the presets, and of the invented circuit after it. */
const OWN = presetNamed('soft-plain').circuit.revision;
const NEWER = OWN + 1;

describe('a build of an older revision of its circuit', () => {
  let bench: ClipleadBench;

  beforeEach(async () => {
    localStorage.clear();
    bench = document.createElement('cliplead-bench') as ClipleadBench;
    bench.bundled = withNewerSoftClip();
    document.body.append(bench);
    // Only one of the two, so that there is one offer.
    bench.store.act({ type: 'load', slot: 'b', build: presetNamed('clean-plain') });
    await bench.updateComplete;
  });
  afterEach(() => bench.remove());

  const offers = () =>
    [...noticeBar(bench)!.querySelectorAll('.notice')].filter(({ textContent }) =>
      textContent?.includes('This build uses revision'),
    );
  const press = async (text: string) => {
    const buttons = [...offers()[0]!.querySelectorAll('button')];
    buttons.find(({ textContent }) => textContent?.trim() === text)!.click();
    await bench.updateComplete;
  };

  it('is offered the newer revision with its changes, takes it, and undo restores the older one', async () => {
    assert.equal(bench.store.state.builds.a.circuit.revision, OWN);
    assert.lengthOf(offers(), 1);
    assert.match(
      offers()[0]!.querySelector('p')!.textContent!,
      new RegExp(`^A: This build uses revision ${OWN} of Soft clip.*R4 4k7 becomes 5k6`),
    );
    await press(`Take revision ${NEWER}`);
    assert.equal(bench.store.state.builds.a.circuit.revision, NEWER);
    assert.equal(bench.store.state.builds.a.parts['R4']?.value, '5k6');
    assert.lengthOf(offers(), 0);
    bench.store.act({ type: 'undo' });
    await bench.updateComplete;
    assert.equal(bench.store.state.builds.a.circuit.revision, OWN);
    assert.lengthOf(offers(), 1);
  });

  it('keeps its own revision if the user wants that, and is not offered the newer one again', async () => {
    await press(`Keep revision ${OWN}`);
    assert.lengthOf(offers(), 0);
    bench.store.act({ type: 'setPart', slot: 'a', ref: 'R4', setting: { value: '3k3' } });
    await bench.updateComplete;
    assert.lengthOf(offers(), 0);
    assert.equal(bench.store.state.builds.a.circuit.revision, OWN);
  });
});
