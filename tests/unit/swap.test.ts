import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import type { BenchChange } from '../../ui/state/bench-change.ts';
import type { Action, BenchState } from '../../ui/state/bench-state.ts';
import { BenchStore } from '../../ui/state/bench-store.ts';
import { freshState } from '../../ui/state/starting-state.ts';
import { type SwapMaker, SwapsInWorker, type SwapWorker } from '../../ui/swap/swap-maker.ts';
import type { FromSwapWorker, SwapAnswer, SwapRequest, ToSwapWorker } from '../../ui/swap/swap-messages.ts';
import { SwapPath, type SwapSound } from '../../ui/swap/swap-path.ts';
import { SwapPreparer } from '../../ui/swap/swap-preparer.ts';
import { SLOTS, type Slot } from '../../worklets/bench-messages.ts';
import { presetBuild } from '../preset-build.ts';

const plain = presetBuild('soft-plain');
const led = presetBuild('soft-led');
const start = freshState({ a: plain, b: led });
const RATE_HZ = 4 * 48_000;

/** A worker that answers when the test tells it to. */
class SlowMaker implements SwapMaker {
  readonly requests: SwapRequest[] = [];
  readonly #preparer = new SwapPreparer();
  #answered: ((answer: SwapAnswer) => void) | undefined;

  prepare(request: SwapRequest, answered: (answer: SwapAnswer) => void): void {
    expect(this.#answered, 'one at a time').toBeUndefined();
    this.requests.push(request);
    this.#answered = answered;
  }

  get isAsked(): boolean {
    return this.#answered !== undefined;
  }

  answer(answer: SwapAnswer = this.#preparer.prepare(this.requests.at(-1)!)): void {
    const answered = this.#answered;
    this.#answered = undefined;
    answered?.(answer);
  }

  answerAll(): void {
    while (this.isAsked) this.answer();
  }
}

/** A bench whose builds were sent to the audio thread, and a record of its messages since then. */
function bench(change: Partial<BenchState> = {}) {
  const maker = new SlowMaker();
  const log: string[] = [];
  const sound = {
    rateHz: RATE_HZ,
    circuitRateHzFor: () => sound.rateHz,
    setCircuit: (slot: Slot) => void log.push(`circuit ${slot}`),
    setValues: (slot: Slot) => void log.push(`values ${slot}`),
  };
  const store = new BenchStore({ ...start, ...change }, new SwapPath(sound satisfies SwapSound, maker));
  store.follow();
  maker.answerAll();
  expect(log.splice(0)).toEqual(['circuit a', 'circuit b']);
  store.onChange((event: BenchChange) => void (event.isOf('builds') && log.push('screen')));
  maker.requests.length = 0;
  return { store, maker, log, sound };
}

const setPart = (slot: Slot, ref: string, setting: object): Action => ({
  type: 'setPart',
  slot,
  ref,
  setting,
});
const lift = setPart('a', 'C4', { value: '51p', fit: 'open' });
const turn: Action = { type: 'turnKnob', slot: 'a', name: 'gain', rotation: 0.9 };
/** Without R5 nothing biases the op-amp's input. */
const broken = setPart('a', 'R5', { value: '10k', fit: 'open' });

beforeEach(() => void vi.useFakeTimers());
afterEach(() => void vi.useRealTimers());

describe('a swap', () => {
  it('is on the screen when it is sent to the audio thread, in one task, and not before', () => {
    const { store, maker, log } = bench();
    store.act(lift);
    expect(store.state.builds).toBe(start.builds);
    expect(store.wanted.builds.a.parts['C4']).toEqual({ value: '51p', fit: 'open' });
    expect(log).toEqual([]);
    maker.answer();
    expect(log).toEqual(['circuit a', 'screen']);
    expect(store.state.builds.a.parts['C4']).toEqual({ value: '51p', fit: 'open' });
    expect(maker.isAsked).toBe(false);
  });

  it('sends only values where the structure is the same, and prepares only the changed build', () => {
    const { store, maker, log } = bench();
    store.act(setPart('b', 'R4', { value: '2k2' }));
    expect(Object.keys(maker.requests[0]!.builds)).toEqual(['b']);
    maker.answer();
    expect(log).toEqual(['values b', 'screen']);
  });

  it('that is refused never enters the state, and the message names part, value and remedy', () => {
    const { store, maker, log } = bench();
    const seen: BenchState[] = [];
    store.onChange(({ after }) => void seen.push(after));
    store.act(broken);
    maker.answer();
    expect(log).toEqual([]);
    expect(seen.map(({ builds }) => builds)).toEqual([start.builds]);
    expect(store.state.refusal).toMatchObject({ ref: 'R5', slot: 'a' });
    expect(store.state.refusal?.message).toContain('gain input');
    expect(store.canUndo).toBe(false);
  });

  it.each<readonly [what: string, actions: readonly Action[]]>([
    ['undo and redo', [lift, { type: 'undo' }, { type: 'redo' }]],
    ['the exchange of sides', [{ type: 'exchange' }]],
    ['a preset or file', [{ type: 'load', slot: 'b', build: presetBuild('clean-plain') }]],
    ['a copy', [{ type: 'copy', from: 'a', to: 'b' }]],
    ['a switch', [{ type: 'throwSwitch', slot: 'a', name: 'clipping', position: 'lifted' }]],
    ['the temperature', [{ type: 'temperature', celsius: 40 }]],
    ['the bypass', [{ type: 'bypass', isBypassed: true }]],
    ['pickup and cable', [{ type: 'guitar', guitar: { ...start.guitar, isOn: true } }]],
    ['a cable after the pedal', [{ type: 'after', after: { ...start.after, isOn: true } }]],
  ])('takes the same way: %s', (_, actions) => {
    const { store, maker } = bench();
    for (const action of actions) {
      const before = store.state;
      store.act(action);
      expect(maker.isAsked).toBe(true);
      expect(store.state).toBe(before);
      maker.answerAll();
      expect(store.state.refusal).toBeUndefined();
      expect(store.state).not.toBe(before);
    }
  });

  it('is not prepared where the sound does not change', () => {
    const { store, maker } = bench();
    store.act({ type: 'rename', slot: 'a', title: 'For Sunday' });
    store.act({ type: 'alias', ref: 'R4', alias: 'R7' });
    store.act({ type: 'select', ref: 'C4' });
    store.act({ type: 'hear', slot: 'b' });
    expect(store.state.builds.a.title).toBe('For Sunday');
    expect(maker.isAsked).toBe(false);
  });

  it('checks the pedal with the effect on, even while it is bypassed', () => {
    const { store, maker } = bench({ isBypassed: true, builds: { a: { ...plain, bypass: 'true' }, b: led } });
    store.act(broken);
    maker.answerAll();
    expect(store.state.refusal?.message).toContain('gain input');
  });

  it('is prepared again where the rate has changed meanwhile', () => {
    const { store, maker, log, sound } = bench();
    store.act(lift);
    sound.rateHz = 2 * RATE_HZ;
    maker.answer();
    expect(log).toEqual([]);
    expect(maker.requests.map(({ circuitRateHz }) => circuitRateHz)).toEqual([RATE_HZ, 2 * RATE_HZ]);
    maker.answer();
    expect(log).toEqual(['circuit a', 'circuit b', 'screen']);
  });
});

describe('swaps that follow each other quickly', () => {
  const values = ['2k2', '3k3', '5k6'];

  it('end with the newest one; the older ones that were not ready are dropped', async () => {
    const { store, maker, log } = bench();
    for (const value of values) store.act(setPart('a', 'R4', { value }));
    maker.answerAll();
    await store.settled();
    expect(maker.requests).toHaveLength(2);
    expect(log).toEqual(['values a', 'screen']);
    expect(store.state.builds.a.parts['R4']).toEqual({ value: '5k6' });
    store.act({ type: 'undo' });
    maker.answerAll();
    expect(store.state.builds.a.parts['R4']).toEqual({ value: '3k3' });
  });

  it('are shown from time to time while they continue', () => {
    const { store, maker, log } = bench();
    for (let step = 0; step < 20; step++) {
      store.act(setPart('a', 'R4', { value: `${step + 1}k` }));
      vi.advanceTimersByTime(40);
      if (maker.isAsked && step % 2 === 1) maker.answer();
    }
    // 800 ms of steps: about three swaps, each more than a quarter of a second after the last.
    const shown = log.filter((entry) => entry === 'screen').length;
    expect(shown).toBeGreaterThanOrEqual(2);
    expect(shown).toBeLessThanOrEqual(3);
    maker.answerAll();
    expect(store.state.builds.a.parts['R4']).toEqual({ value: '20k' });
  });

  it('are refused one by one: those that can be played are made', async () => {
    const { store, maker } = bench();
    store.act(lift);
    store.act(broken);
    store.act(setPart('b', 'R4', { value: '2k2' }));
    maker.answerAll();
    await store.settled();
    expect(store.state.builds.a.parts['C4']?.fit).toBe('open');
    expect(store.state.builds.a.parts['R5']?.fit).toBeUndefined();
    expect(store.state.builds.b.parts['R4']).toEqual({ value: '2k2' });
  });

  it('keep a knob that is turned meanwhile: on the screen at once, and in the sound after the swap', () => {
    const { store, maker, log } = bench();
    store.act(lift);
    store.act(turn);
    expect(store.state.builds.a.knobs['gain']).toBe(0.9);
    expect(store.state.builds.a.parts).toBe(plain.parts);
    maker.answer();
    expect(store.state.builds.a.parts['C4']?.fit).toBe('open');
    expect(store.state.builds.a.knobs['gain']).toBe(0.9);
    maker.answerAll();
    expect(log).toEqual(['screen', 'circuit a', 'screen', 'values a', 'values b']);
    expect(maker.requests.at(-1)!.isTurn).toBe(true);
  });
});

describe('an action during a preparation', () => {
  it('that repeats a waiting swap is prepared like it, and is refused in the same way', () => {
    const { store, maker } = bench();
    store.act(broken);
    store.act(broken);
    expect(store.state.builds).toBe(start.builds);
    maker.answerAll();
    expect(store.state.builds).toBe(start.builds);
    expect(store.state.refusal?.message).toContain('gain input');
    expect(store.canUndo).toBe(false);
  });

  it('that is a second undo undoes only the swap, after the swap is prepared', () => {
    const { store, maker, log } = bench();
    store.act(lift);
    maker.answerAll();
    log.length = 0;
    store.act({ type: 'undo' });
    store.act({ type: 'undo' });
    expect(store.state.builds.a.parts['C4']?.fit).toBe('open');
    maker.answerAll();
    expect(store.state.builds).toBe(start.builds);
    expect(log.indexOf('circuit a')).toBeLessThan(log.indexOf('screen'));
  });

  it('does not overtake a redo: a knob is turned after the swap has returned', () => {
    const { store, maker } = bench();
    store.act(lift);
    maker.answerAll();
    store.act({ type: 'undo' });
    maker.answerAll();
    store.act({ type: 'redo' });
    store.act(turn);
    maker.answerAll();
    expect(store.state.builds.a.parts['C4']?.fit).toBe('open');
    expect(store.state.builds.a.knobs['gain']).toBe(0.9);
  });
});

describe('a fault of the program while the page prepares', () => {
  it('refuses that swap, and the next one is prepared', () => {
    vi.stubGlobal('reportError', vi.fn());
    const prepare = vi.spyOn(SwapPreparer.prototype, 'prepare');
    const store = new BenchStore(start);
    prepare.mockImplementationOnce(() => {
      throw new TypeError('no such thing');
    });
    store.act(lift);
    expect(store.state.builds).toBe(start.builds);
    expect(store.state.refusal?.message).toContain('The program failed');
    expect(reportError).toHaveBeenCalledOnce();
    store.act(lift);
    expect(store.state.builds.a.parts['C4']?.fit).toBe('open');
    vi.unstubAllGlobals();
    prepare.mockRestore();
  });
});

describe('a build that cannot be played as it stands', () => {
  const refuse = (maker: SlowMaker, slot: Slot) =>
    maker.answer({ kind: 'refused', slot, message: 'It has no operating point.' });

  it('keeps its old sound, and the other build follows the linked knob', () => {
    const { store, maker, log } = bench();
    store.act(turn);
    expect(Object.keys(maker.requests[0]!.builds)).toEqual(['a', 'b']);
    refuse(maker, 'a');
    expect(Object.keys(maker.requests[1]!.builds)).toEqual(['b']);
    maker.answerAll();
    expect(log.filter((entry) => entry !== 'screen')).toEqual(['values b']);
    expect(store.state.refusal?.message).toBe('A keeps its old sound: It has no operating point.');
    store.act({ ...turn, rotation: 0.8 });
    expect(Object.keys(maker.requests[2]!.builds)).toEqual(['a', 'b']);
    maker.answerAll();
    expect(log.filter((entry) => entry !== 'screen')).toEqual(['values b', 'values a', 'values b']);
    expect(store.state.refusal).toBeUndefined();
  });

  it('is said beside the other one that cannot be either', async () => {
    const { store, maker, log } = bench();
    store.act(turn);
    refuse(maker, 'a');
    refuse(maker, 'b');
    await store.settled();
    expect(log.filter((entry) => entry !== 'screen')).toEqual([]);
    expect(store.state.refusal?.message).toBe(
      'A keeps its old sound: It has no operating point. B keeps its old sound: It has no operating point.',
    );
  });

  it('does not keep the other from its circuit at another rate', async () => {
    const { store, maker, log, sound } = bench();
    sound.rateHz = 2 * RATE_HZ;
    store.follow();
    refuse(maker, 'a');
    maker.answerAll();
    await store.settled();
    expect(log).toEqual(['circuit b']);
    expect(maker.requests.map(({ circuitRateHz }) => circuitRateHz)).toEqual([2 * RATE_HZ, 2 * RATE_HZ]);
    store.act(setPart('a', 'R4', { value: '2k2' }));
    maker.answerAll();
    expect(log).toEqual(['circuit b', 'circuit a', 'screen']);
  });

  it('is said to be silent where nothing of it played before, and the other plays', async () => {
    const maker = new SlowMaker();
    const handed: Slot[] = [];
    const sound: SwapSound = {
      circuitRateHzFor: () => RATE_HZ,
      setCircuit: (slot) => void handed.push(slot),
      setValues: () => {},
    };
    const store = new BenchStore(start, new SwapPath(sound, maker));
    store.follow();
    refuse(maker, 'a');
    maker.answerAll();
    await store.settled();
    expect(handed).toEqual(['b']);
    expect(store.state.refusal?.message).toBe('A is silent: It has no operating point.');
  });
});

/** A worker of the test's own. */
class FakeWorker extends EventTarget implements SwapWorker {
  isTerminated = false;
  readonly #doesWork: boolean;
  readonly #preparer = new SwapPreparer();

  constructor(doesWork: boolean) {
    super();
    this.#doesWork = doesWork;
  }

  postMessage({ id, swap }: ToSwapWorker): void {
    if (!this.#doesWork) {
      this.dispatchEvent(new Event('error'));
      return;
    }
    const data: FromSwapWorker = { id, answer: this.#preparer.prepare(swap) };
    this.dispatchEvent(new MessageEvent('message', { data }));
  }

  terminate(): void {
    this.isTerminated = true;
  }
}

describe('the worker that prepares swaps', () => {
  function benchWith(starts: () => SwapWorker) {
    const reports: (string | undefined)[] = [];
    const handed: string[] = [];
    const maker = new SwapsInWorker(starts, (problem) => void reports.push(problem));
    const sound: SwapSound = {
      circuitRateHzFor: () => RATE_HZ,
      setCircuit: (slot) => void handed.push(slot),
      setValues: (slot) => void handed.push(slot),
    };
    const store = new BenchStore(start, new SwapPath(sound, maker));
    store.follow();
    return { store, reports, handed, maker };
  }

  it('is started again after it fails, and the swap is still prepared', () => {
    const workers: FakeWorker[] = [];
    const { handed, reports } = benchWith(() => {
      const worker = new FakeWorker(workers.length > 0);
      workers.push(worker);
      return worker;
    });
    expect(handed).toEqual([...SLOTS]);
    expect(reports.every((report) => report === undefined)).toBe(true);
    expect(workers.map(({ isTerminated }) => isTerminated)).toEqual([true, false]);
  });

  it('is replaced by the page if it fails again, and the page reports this until a worker answers', () => {
    let doesWork = false;
    const { store, handed, reports } = benchWith(() => new FakeWorker(doesWork));
    expect(handed).toEqual([...SLOTS]);
    expect(reports.at(-1)).toContain('the worker that prepares swaps failed');
    doesWork = true;
    store.act(lift);
    expect(store.state.builds.a.parts['C4']?.fit).toBe('open');
    expect(reports.at(-1)).toBeUndefined();
  });

  it('is replaced by the page where the browser starts no worker', () => {
    const { handed, reports } = benchWith(() => {
      throw new Error('no workers');
    });
    expect(handed).toEqual([...SLOTS]);
    expect(reports.at(-1)).toContain('this browser runs no workers');
  });

  it('ends with the bench, and starts again for another swap', () => {
    const workers: FakeWorker[] = [];
    const { store, maker } = benchWith(() => {
      const worker = new FakeWorker(true);
      workers.push(worker);
      return worker;
    });
    maker.close();
    expect(workers.map(({ isTerminated }) => isTerminated)).toEqual([true]);
    store.act(lift);
    expect(store.state.builds.a.parts['C4']?.fit).toBe('open');
    expect(workers).toHaveLength(2);
  });

  it('is stopped if it does not answer', async () => {
    const mute = new FakeWorker(true);
    mute.postMessage = () => {};
    const { handed, reports } = benchWith(() => mute);
    expect(handed).toEqual([]);
    await vi.advanceTimersByTimeAsync(60_000);
    expect(handed).toEqual([...SLOTS]);
    expect(reports.at(-1)).toContain('failed');
  });

  it('is waited for openly after a second, until it has answered', async () => {
    const slow: boolean[] = [];
    const worker = new FakeWorker(true);
    const messages: ToSwapWorker[] = [];
    const answer = worker.postMessage.bind(worker);
    worker.postMessage = (message) => void messages.push(message);
    const maker = new SwapsInWorker(
      () => worker,
      () => {},
      (isSlow) => void slow.push(isSlow),
    );
    const sound: SwapSound = { circuitRateHzFor: () => RATE_HZ, setCircuit: () => {}, setValues: () => {} };
    const store = new BenchStore(start, new SwapPath(sound, maker));
    store.follow();
    await vi.advanceTimersByTimeAsync(900);
    expect(slow).toEqual([]);
    await vi.advanceTimersByTimeAsync(200);
    expect(slow).toEqual([true]);
    answer(messages.at(-1)!);
    expect(slow).toEqual([true, false]);
    // A quick answer is not mentioned.
    worker.postMessage = answer;
    store.act(lift);
    await vi.advanceTimersByTimeAsync(5000);
    expect(slow).toEqual([true, false]);
  });

  it('is waited for openly too while a second one is tried, and no longer when the page has prepared the swap', async () => {
    const slow: boolean[] = [];
    const mute = new FakeWorker(true);
    mute.postMessage = () => {};
    const maker = new SwapsInWorker(
      () => mute,
      () => {},
      (isSlow) => void slow.push(isSlow),
    );
    const sound: SwapSound = { circuitRateHzFor: () => RATE_HZ, setCircuit: () => {}, setValues: () => {} };
    new BenchStore(start, new SwapPath(sound, maker)).follow();
    await vi.advanceTimersByTimeAsync(30_000);
    expect(slow).toEqual([true]);
    await vi.advanceTimersByTimeAsync(30_000);
    expect(slow).toEqual([true, false]);
  });
});
