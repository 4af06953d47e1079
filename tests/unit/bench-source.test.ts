import { describe, expect, it } from 'vitest';
import type { AudioSession } from '../../ui/audio/audio-session.ts';
import type { Source } from '../../ui/audio/prepared-source.ts';
import { BenchSource } from '../../ui/bench-source.ts';
import { BenchStore } from '../../ui/state/bench-store.ts';
import { freshState } from '../../ui/state/starting-state.ts';
import { type SwapMaker, SwapsOnPage } from '../../ui/swap/swap-maker.ts';
import { SwapPath } from '../../ui/swap/swap-path.ts';
import { presetBuild } from '../preset-build.ts';

const LIVE: Source = { kind: 'live', deviceId: '', channel: 0 };
const RECORDING: Source = { kind: 'recording', id: 'riff' };
const FILE: Source = { kind: 'file', file: new File([], 'broken.wav') };

/** Prepares swaps like the page, but answers only when the test tells it to, because a worker also answers later. */
class LateMaker implements SwapMaker {
  readonly #page = new SwapsOnPage();
  #waiting: (() => void)[] = [];

  prepare(...request: Parameters<SwapMaker['prepare']>): void {
    this.#waiting.push(() => this.#page.prepare(...request));
  }

  answerAll(): void {
    for (let answer = this.#waiting.shift(); answer; answer = this.#waiting.shift()) answer();
  }
}

/** A session in which a source plays, and which can get no other source. */
class StubbornSession extends EventTarget {
  state: { readonly source: Source; readonly isRunning: boolean };

  constructor(source: Source) {
    super();
    this.state = { source, isRunning: true };
  }

  async useSource(): Promise<boolean> {
    return false;
  }

  play(source: Source): void {
    this.state = { ...this.state, source };
    this.dispatchEvent(new Event('change'));
  }
}

/** A bench on which a source plays, with pickup and cable before the pedals. */
function benchWith(source: Source) {
  const builds = { a: presetBuild('soft-plain'), b: presetBuild('soft-plain') };
  const usual = freshState(builds);
  const maker = new LateMaker();
  const sound = { circuitRateHzFor: () => 48_000, setCircuit: () => {}, setValues: () => {} };
  const state = { ...usual, source, isListening: true, guitar: { ...usual.guitar, isOn: true } };
  const store = new BenchStore(state, new SwapPath(sound, maker));
  const session = new StubbornSession(source);
  const bench = new BenchSource(store, session as unknown as AudioSession);
  session.dispatchEvent(new Event('change'));
  store.follow();
  maker.answerAll();
  return { store, session, bench, maker };
}

describe('a source that changes the circuits, because pickup and cable are before every source except a live input', () => {
  it.each([
    ['an input, while a recording plays', RECORDING, LIVE],
    ['a file, while an input plays', LIVE, FILE],
  ])('is taken back when it is refused before the circuits are ready: %s', async (_, playing, refused) => {
    const { store, bench, maker } = benchWith(playing);
    await bench.use(refused);
    expect(store.wanted.source).toBe(playing);
    maker.answerAll();
    expect(store.state.source).toBe(playing);
  });

  it('is silence if an input is disconnected before the circuits are ready', () => {
    const { store, session, maker } = benchWith(RECORDING);
    store.act({ type: 'source', source: LIVE });
    session.play(LIVE);
    session.play({ kind: 'none' });
    maker.answerAll();
    expect(store.state.source.kind).toBe('none');
  });
});
