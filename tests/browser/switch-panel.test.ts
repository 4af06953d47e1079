import { assert } from 'chai';
import type { ClipleadBench } from '../../ui/bench.ts';
import type { SwitchPanel } from '../../ui/components/switch-panel.ts';
import type { CaptureStage } from '../../ui/state/ear-state.ts';
import '../../ui/main.ts';

let bench: ClipleadBench;

/** The line below A and B. */
async function line(): Promise<string> {
  await bench.updateComplete;
  const panel = bench.shadowRoot!.querySelector('switch-panel')!.shadowRoot!;
  return panel.querySelector('p')!.textContent!.replace(/\s+/g, ' ').trim();
}

describe('the line below A and B', () => {
  beforeEach(async () => {
    localStorage.clear();
    bench = document.createElement('cliplead-bench') as ClipleadBench;
    document.body.append(bench);
    await bench.updateComplete;
  });
  afterEach(() => bench.remove());

  const SPACE: readonly (readonly [CaptureStage, string])[] = [
    ['idle', 'Space switches.'],
    ['armed', 'Ready to record Space begins the riff.'],
    ['counting', 'Count-in 1 of 4 Space begins the riff.'],
    ['capturing', 'Recording 0 s Space ends the riff.'],
  ];
  for (const [capture, text] of SPACE)
    it(`says what the space bar does while the recording of a riff is ${capture}`, async () => {
      bench.store.act({ type: 'ear', change: { capture } });
      assert.include(await line(), text);
    });

  it('says, where levels are kept matched, that a change is followed by a measurement', async () => {
    const match = { ...bench.store.state.match, isAutomatic: false };
    bench.store.act({ type: 'match', match: { ...match, isFollowing: true } });
    assert.include(await line(), 'Levels are matched after 3 s without a change.');
    bench.store.act({ type: 'match', match: { ...match, isFollowing: false } });
    assert.include(await line(), 'As soldered: levels are not matched.');
  });

  it('says how much louder a build is as soldered, once it has played long enough', async () => {
    const { match } = bench.store.state;
    bench.store.act({ type: 'match', match: { ...match, isAutomatic: false } });
    const panel = bench.shadowRoot!.querySelector<SwitchPanel>('switch-panel')!;
    const telemetry = { ...panel.telemetry, loudnessA: -20, loudnessB: -22.34 };
    panel.telemetry = { ...telemetry, measuredSeconds: 5 };
    await panel.updateComplete;
    assert.notInclude(await line(), 'louder');
    panel.telemetry = { ...telemetry, measuredSeconds: 600 };
    await panel.updateComplete;
    assert.include(await line(), 'As soldered: levels are not matched. A is louder by 2.3 dB.');
  });
});
