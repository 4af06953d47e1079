import axe from 'axe-core';
import { assert } from 'chai';
import { startBlindTest } from '../../engine/analysis/blind-test.ts';
import { networkOf } from '../../engine/builds/network-of-build.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';

import type { ClipleadBench } from '../../ui/bench.ts';
import { ACTION_EVENT } from '../../ui/components/bench-element.ts';
import { isCarried, measuredFactor, rateSentence } from '../../ui/rate/live-rate.ts';
import { findCauseInWorker, measureInWorker } from '../../ui/rate/rate-desk.ts';
import type { RateTrialResult } from '../../ui/rate/rate-trial.ts';
import type { EarCommand } from '../../ui/state/ear-state.ts';
import { soundAhead } from '../../ui/state/matched-sound.ts';
import { presetNamed } from '../../ui/state/presets.ts';
import '../../ui/main.ts';
import { until as untilSo } from './until.ts';

let bench: ClipleadBench | undefined;
let restore = () => {};

async function openBench(): Promise<ClipleadBench> {
  localStorage.clear();
  bench = document.createElement('cliplead-bench') as ClipleadBench;
  document.body.append(bench);
  await bench.updateComplete;
  return bench;
}

/** Makes the page ignore gaps: on a busy machine the rate would go down before anything is measured. */
function withoutGaps({ session }: ClipleadBench): void {
  const { load: _, ...others } = session.readTelemetry();
  session.readTelemetry = () => ({ ...others, load: 0 });
  session.readUnderruns = () => 0;
}

/** The error says which rate plays. */
function until(what: string, isSo: () => boolean): Promise<void> {
  return untilSo(() => `${what}; ${rateSentence(bench!.session.state.rate)}`, isSo);
}

/** Tests of the rate: the number of workers that were started, and their answers. */
function watchTrials(): { readonly seen: { asked: number; answers: RateTrialResult[] }; end: () => void } {
  const seen = { asked: 0, answers: [] as RateTrialResult[] };
  const { postMessage } = Worker.prototype;
  Worker.prototype.postMessage = function (this: Worker, message: object, transfer?: unknown) {
    if (isTrial(message)) {
      seen.asked++;
      this.addEventListener('message', ({ data }: MessageEvent<RateTrialResult>) => seen.answers.push(data));
    }
    postMessage.call(this, message, transfer as StructuredSerializeOptions);
  };
  const end = () => {
    Worker.prototype.postMessage = postMessage;
  };
  return { seen, end };
}

const isTrial = (message: object) => Object.keys(message).sort().join() === 'networks,sampleRateHz';

/** Whether the measurement is complete: a first result below 16x is measured again. */
function isWhole(answers: readonly RateTrialResult[]): boolean {
  const [first] = answers;
  if (first?.kind !== 'shares') return first !== undefined;
  return answers.length > 1 || measuredFactor(first.shares) === 16;
}

const isMeasured = ({ session }: ClipleadBench) => session.state.rate.reason.kind === 'measured';

/** The dialog with the settings of the sound, opened with its button. */
async function openSettings({ shadowRoot, updateComplete }: ClipleadBench): Promise<ShadowRoot> {
  const output = shadowRoot?.querySelector('output-panel')?.shadowRoot;
  const buttons = [...(output?.querySelectorAll('button') ?? [])];
  buttons.find((button) => button.textContent?.trim() === 'Sound…')?.click();
  await updateComplete;
  return shadowRoot!.querySelector('sound-settings')!.shadowRoot!;
}

/** The request of a component under Listen. */
function ask(opened: ClipleadBench, command: EarCommand): void {
  opened.dispatchEvent(new CustomEvent(ACTION_EVENT, { detail: { type: 'earCommand', command } }));
}

describe('the live rate in the browser', () => {
  afterEach(async () => {
    restore();
    restore = () => {};
    await bench?.session.stop();
    bench?.remove();
    bench = undefined;
    localStorage.clear();
  });

  it('is measured in a worker, on both builds, from 16x down to the highest rate that works', async () => {
    const networks = {
      a: networkOf(presetNamed('soft-plain'), NOMINAL_TEMPERATURE_K),
      b: networkOf(presetNamed('clean-plain'), NOMINAL_TEMPERATURE_K),
    };
    const result = await measureInWorker({ networks, sampleRateHz: 48_000 });
    if (result.kind !== 'shares') return assert.fail(result.because);
    const share = result.shares[16];
    assert.isAbove(share?.music ?? 0, 0.001);
    assert.isAbove(share?.noise ?? 0, 0.001);
    assert.equal(result.shares[8] === undefined, isCarried(16, share!));
    const pedals = { a: [networks.a], b: [networks.b] };
    const cause = await findCauseInWorker({ networks, pedals, sampleRateHz: 48_000, at: 4 });
    assert.isAbove(cause?.apart?.likeShare ?? 0, 0.001);
    assert.isAbove(Math.min(...(cause?.pedals.a ?? []), ...(cause?.pedals.b ?? [])), 0.001);
  });

  it('is 8x when sound starts, and soon after the measured rate, which the page states', async () => {
    const opened = await openBench();
    withoutGaps(opened);
    opened.store.act({ type: 'listen', isListening: true });
    await until('running', () => opened.session.state.isRunning);
    const seen = new Set([opened.session.state.rate.factor]);
    opened.session.addEventListener('change', () => seen.add(opened.session.state.rate.factor));
    await until('measured', () => isMeasured(opened));
    const { rate, sampleRateHz } = opened.session.state;
    if (rate.reason.kind !== 'measured') return assert.fail(rateSentence(rate));
    assert.equal(rate.factor, measuredFactor(rate.reason.shares));
    assert.deepEqual([...seen], [...new Set([8, rate.factor])]);
    assert.equal(opened.session.circuitRateHz, rate.factor * sampleRateHz);
    const settings = await openSettings(opened);
    assert.include(settings.textContent, rateSentence(rate));
    assert.include(settings.textContent, 'automatic: both builds');
    const { violations } = await axe.run(settings.querySelector('dialog')!);
    assert.deepEqual(
      violations.map(({ id, nodes }) => [id, nodes.map(({ html }) => html)]),
      [],
    );
  });

  it('is the rate that was chosen by hand, at once and on the next visit', async () => {
    const opened = await openBench();
    opened.store.act({ type: 'listen', isListening: true });
    const settings = await openSettings(opened);
    const label = [...settings.querySelectorAll('label')].find(({ textContent }) =>
      textContent!.trim().startsWith('Oversampling'),
    )!;
    const select = label.querySelector('select')!;
    select.value = '4';
    select.dispatchEvent(new Event('change'));
    await opened.updateComplete;
    assert.deepEqual(opened.session.state.rate, { factor: 4, reason: { kind: 'chosen' } });
    const next = document.createElement('cliplead-bench') as ClipleadBench;
    assert.equal(next.store.state.rateChoice, 4);
  });

  it('does not change during a blind test, whatever is measured or chosen', async () => {
    const { seen, end } = watchTrials();
    restore = end;
    const opened = await openBench();
    withoutGaps(opened);
    opened.store.act({ type: 'listen', isListening: true });
    await until('measuring', () => seen.asked > 0);
    assert.isEmpty(seen.answers);
    const { match } = opened.store.state;
    opened.store.act({ type: 'match', match: { ...match, sound: soundAhead(opened.store.state) } });
    opened.store.act({ type: 'view', view: 'ear' });
    // The button waits for the estimate of the solver's error, and the trials do not.
    const blindTest = { test: startBlindTest('abx', 4), heard: 'a', notice: undefined } as const;
    opened.store.act({ type: 'ear', change: { blindTest } });
    const { rate } = opened.session.state;
    await until('an answer of every trial', () => isWhole(seen.answers));
    assert.equal(opened.session.state.rate, rate);
    opened.store.act({ type: 'rate', choice: 4 });
    assert.equal(opened.session.state.rate, rate);
    ask(opened, { do: 'stopBlindTest' });
    await until('4x after the test', () => opened.session.state.rate.factor === 4);
    // The result of a measurement in the meantime is known.
    opened.store.act({ type: 'rate', choice: 'measured' });
    assert.isTrue(isMeasured(opened));
  });
});
