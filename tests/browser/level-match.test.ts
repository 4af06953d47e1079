import { assert } from 'chai';
import { encodeWav } from '../../engine/audio/wav.ts';
import type { ClipleadBench } from '../../ui/bench.ts';
import { matchSeconds } from '../../ui/ear/level-check.ts';
import type { Action } from '../../ui/state/bench-state.ts';
import '../../ui/main.ts';
import { until } from './until.ts';

/**
 * 100k instead of 1k before the output potentiometer: 100k to ground in parallel with a load of 510k is 83.6k, so the
 * divider takes 6.73 dB more. Other loads are not counted; they are less than the 0.1 dB tolerance of the match.
 */
const DIVIDED_DB = -20 * Math.log10(83.6 / 183.6 / (83.6 / 84.6));

describe('levels matched by measuring while it plays', () => {
  let bench: ClipleadBench;

  /** Seconds that counted right after each new beginning of the measurement. */
  let begun: number[] = [];

  const act = (detail: Action) => bench.dispatchEvent(new CustomEvent('bench-action', { detail }));
  const measured = () => bench.session.readTelemetry().measuredSeconds;
  /** The gain of A relative to B, dB. */
  const offsetDb = () => bench.store.state.match.db.a - bench.store.state.match.db.b;

  beforeEach(async () => {
    localStorage.clear();
    bench = document.createElement('cliplead-bench') as ClipleadBench;
    begun = [];
    const { session } = bench;
    const measureLoudness = session.measureLoudness.bind(session);
    session.measureLoudness = () => {
      measureLoudness();
      begun.push(measured());
    };
    document.body.append(bench);
    await bench.updateComplete;
    // A steady tone, so quiet that nothing clips and all seconds of it are equal.
    const sampleRateHz = 44_100;
    const tone = Float64Array.from(
      { length: sampleRateHz },
      (_, n) => 0.001 * Math.sin((2 * Math.PI * 500 * n) / sampleRateHz),
    );
    const file = new File([new Uint8Array(encodeWav({ channels: [tone], sampleRateHz }))], 'tone.wav');
    act({ type: 'output', db: -40 });
    act({ type: 'copy', from: 'a', to: 'b' });
    act({ type: 'link', isLinked: false });
    for (const slot of ['a', 'b'] as const) act({ type: 'turnKnob', slot, name: 'output', rotation: 1 });
    act({ type: 'match', match: { ...bench.store.state.match, isAutomatic: false } });
    act({ type: 'listen', isListening: true });
    act({ type: 'source', source: { kind: 'file', file } });
    await until('the tone', () => bench.session.state.source.kind === 'file');
  });

  afterEach(async () => {
    await bench.session.stop();
    bench.remove();
  });

  /** Measures while it plays, as "Match again" does. */
  const press = () => act({ type: 'match', match: { ...bench.store.state.match, isMeasuring: true } });

  async function matched(): Promise<void> {
    await until('matched', () => !bench.store.state.match.isMeasuring);
  }

  /** Long enough that a match could be read at once, if it were one of the present sound. */
  const longMeasured = () => until('measured', () => measured() > matchSeconds(1));

  it('right after a swap uses no measurement from before it', async () => {
    press();
    await matched();
    assert.closeTo(offsetDb(), 0, 0.02, 'A and B are one build');
    await longMeasured();
    act({ type: 'setPart', slot: 'a', ref: 'R11', setting: { value: '100k' } });
    press();
    // The last report of the audio thread may be from before the swap.
    assert.equal(measured(), 0);
    await matched();
    assert.closeTo(offsetDb(), DIVIDED_DB, 0.1);
    await longMeasured();
    act({ type: 'undo' });
    press();
    await matched();
    assert.closeTo(offsetDb(), 0, 0.02, 'A and B are one build again');
  });

  it('begins again if a part is swapped while it measures', async () => {
    press();
    await until('half measured', () => measured() > 0.5 * matchSeconds(1));
    begun = [];
    act({ type: 'setPart', slot: 'a', ref: 'R11', setting: { value: '100k' } });
    await bench.store.settled();
    assert.equal(begun[0], 0);
    await matched();
    assert.closeTo(offsetDb(), DIVIDED_DB, 0.1);
  });

  const changes: readonly (readonly [string, Action])[] = [
    ['the speaker filter is switched off', { type: 'standIn', hasStandIn: false }],
    ['the bypass is switched on', { type: 'bypass', isBypassed: true }],
    ['it gets warmer', { type: 'temperature', celsius: 40 }],
    [
      'the full scale of the file is told',
      { type: 'calibrate', calibration: { volts: 1, isMeasured: true } },
    ],
    ['something else plays', { type: 'source', source: { kind: 'string' } }],
  ];
  for (const [what, action] of changes) {
    it(`measures again when ${what}`, async () => {
      await until('something measured', () => measured() > 0.1);
      begun = [];
      act(action);
      await bench.store.settled();
      assert.equal(begun[0], 0);
      await until('the input', () => bench.session.state.source === bench.store.state.source);
      await until('something measured', () => measured() > 0.1);
    });
  }
});
