import { describe, expect, it } from 'vitest';
import { parseBuildFile, serialiseBuild } from '../../engine/builds/build-file.ts';
import { USUAL_PATCH_METRES } from '../../engine/builds/chain.ts';
import type { Action, BenchState } from '../../ui/state/bench-state.ts';
import { indexIn, pedalsOf } from '../../ui/state/chains.ts';
import { carriedOut, freshHistory } from '../../ui/state/history.ts';
import { soundAhead, soundChange } from '../../ui/state/matched-sound.ts';
import { playedNetwork } from '../../ui/state/played-network.ts';
import { loadBench, saveBench } from '../../ui/state/saved-bench.ts';
import { freshState, startingBench } from '../../ui/state/starting-state.ts';
import { isSameSound } from '../../ui/swap/swap-path.ts';
import type { Slot } from '../../worklets/bench-messages.ts';
import { presetBuild } from '../preset-build.ts';
import { stubStorage } from './kept-storage.ts';

const soft = presetBuild('soft-plain');
const led = presetBuild('soft-led');
const lift = presetBuild('clean-midlift');

/** A bench after some actions, each a second after the one before. */
class Bench {
  #history = freshHistory(freshState({ a: soft, b: led }));
  #seconds = 0;

  get state(): BenchState {
    return this.#history.state;
  }

  get canUndo(): boolean {
    return this.#history.past.length > 0;
  }

  act(action: Action): void {
    this.#seconds++;
    this.#history = carriedOut(this.#history, action, 1000 * this.#seconds);
  }
}

function benchAfter(...actions: readonly Action[]): Bench {
  const bench = new Bench();
  for (const action of actions) bench.act(action);
  return bench;
}

const liftBefore = (slot: Slot): Action => ({ type: 'addPedal', slot, index: 0, build: lift });
const look = (slot: Slot, index: number): Action => ({ type: 'look', slot, index });

const titles = (state: BenchState, slot: Slot) => pedalsOf(state, slot).map(({ build }) => build.title);
const LIFT_INTO_SOFT = [lift.title, soft.title];

describe('a chain on a side of the bench', () => {
  it('begins with a pedal that is added before or after the present one, which is looked at then', () => {
    const { state } = benchAfter(liftBefore('a'));
    expect(titles(state, 'a')).toEqual(LIFT_INTO_SOFT);
    expect(state.builds.a).toBe(lift);
    expect(titles(state, 'b')).toEqual([led.title]);
    const after = benchAfter({ type: 'addPedal', slot: 'a', index: 1, build: lift }).state;
    expect(titles(after, 'a')).toEqual([soft.title, lift.title]);
    expect(pedalsOf(after, 'a').map(({ cableMetres }) => cableMetres)).toEqual([
      USUAL_PATCH_METRES,
      USUAL_PATCH_METRES,
    ]);
  });

  it('has at most three pedals, and keeps its last one', () => {
    const many = benchAfter(liftBefore('a'), liftBefore('a'), liftBefore('a')).state;
    expect(pedalsOf(many, 'a')).toHaveLength(3);
    expect(benchAfter({ type: 'removePedal', slot: 'a', index: 0 }).state.builds.a).toBe(soft);
  });

  it('sounds the same whichever of its pedals is looked at', () => {
    const store = benchAfter(liftBefore('a'));
    const before = store.state;
    store.act(look('a', 1));
    expect(store.state.builds.a).toBe(soft);
    expect(isSameSound(before, store.state)).toBe(true);
    expect(soundChange(soundAhead(before), soundAhead(store.state))).toBeUndefined();
    expect(playedNetwork(store.state, 'a')).toEqual(playedNetwork(before, 'a'));
    expect(store.state.refusal).toBeUndefined();
  });

  it('plays another network in another order, and with a pedal off or a longer cable', () => {
    const { state } = benchAfter(liftBefore('a'));
    const changes: readonly Action[] = [
      { type: 'movePedal', slot: 'a', from: 0, to: 1 },
      { type: 'switchPedal', slot: 'a', index: 1, isOn: false },
      { type: 'patchCable', slot: 'a', index: 0, metres: 5 },
      { type: 'removePedal', slot: 'a', index: 0 },
    ];
    for (const action of changes) {
      const changed = benchAfter(liftBefore('a'), action).state;
      expect(isSameSound(state, changed)).toBe(false);
      expect(soundChange(soundAhead(state), soundAhead(changed))).toBe('a build has changed');
      expect(playedNetwork(changed, 'a')).not.toEqual(playedNetwork(state, 'a'));
    }
  });

  it('is edited at the pedal that is looked at, which stays so when pedals are moved', () => {
    const store = benchAfter(liftBefore('a'), look('a', 1));
    store.act({ type: 'movePedal', slot: 'a', from: 1, to: 0 });
    expect(titles(store.state, 'a')).toEqual([soft.title, lift.title]);
    store.act({ type: 'setPart', slot: 'a', ref: 'D1', setting: { type: 'OA91' } });
    const [first, second] = pedalsOf(store.state, 'a');
    expect(first!.build.parts['D1']).toEqual({ type: 'OA91' });
    expect(second!.build).toBe(lift);
  });

  it('is looked at where the other side has the same circuit', () => {
    const store = benchAfter(liftBefore('a'), { type: 'addPedal', slot: 'b', index: 1, build: lift });
    store.act(look('a', 1));
    expect([store.state.builds.a, store.state.builds.b]).toEqual([soft, led]);
    store.act(look('a', 0));
    expect([indexIn(store.state.places.a), indexIn(store.state.places.b)]).toEqual([0, 1]);
    expect(store.state.builds.b).toBe(lift);
  });

  it('goes whole to the other side, by a copy and by an exchange', () => {
    const copied = benchAfter(liftBefore('a'), { type: 'copy', from: 'a', to: 'b' }).state;
    expect(titles(copied, 'b')).toEqual(LIFT_INTO_SOFT);
    const turned = benchAfter(liftBefore('a'), { type: 'exchange' }).state;
    expect(titles(turned, 'b')).toEqual(LIFT_INTO_SOFT);
    expect(titles(turned, 'a')).toEqual([led.title]);
  });

  it('is undone and redone whole; looking is no step of its own', () => {
    const store = benchAfter(liftBefore('a'), look('a', 1));
    store.act({ type: 'movePedal', slot: 'a', from: 0, to: 1 });
    store.act({ type: 'undo' });
    expect(titles(store.state, 'a')).toEqual(LIFT_INTO_SOFT);
    store.act({ type: 'undo' });
    expect(titles(store.state, 'a')).toEqual([soft.title]);
    expect(store.canUndo).toBe(false);
    store.act({ type: 'redo' });
    expect(titles(store.state, 'a')).toEqual(LIFT_INTO_SOFT);
  });

  it('puts the probe back on the output when another circuit is looked at', () => {
    const store = benchAfter(liftBefore('a'), { type: 'probe', net: 'clipped' }, look('a', 1));
    expect(store.state.probe).toBeUndefined();
  });

  it('gives candidates its other pedals, and has its own back after them', () => {
    const list = [{ text: 'OA91', settings: { D1: { type: 'OA91' } }, verdict: undefined }];
    const store = benchAfter(liftBefore('a'), look('a', 1), {
      type: 'startCandidates',
      refs: ['D1'],
      list,
      isHidden: false,
    });
    expect(titles(store.state, 'b')).toEqual(LIFT_INTO_SOFT);
    expect(store.state.builds.b.parts['D1']).toEqual({ type: 'OA91' });
    store.act({ type: 'endCandidates', keeps: false });
    expect(pedalsOf(store.state, 'b').map(({ build }) => build)).toEqual([led]);
  });

  it('ends candidates when it changes', () => {
    const list = [{ text: 'OA91', settings: { D1: { type: 'OA91' } }, verdict: undefined }];
    const start: Action = { type: 'startCandidates', refs: ['D1'], list, isHidden: false };
    const store = benchAfter(liftBefore('a'), look('a', 1), start);
    store.act({ type: 'switchPedal', slot: 'a', index: 0, isOn: false });
    expect(store.state.ear.candidates?.at).toBeUndefined();
  });

  it('is there on the next visit, with its switches and cables', () => {
    stubStorage();
    const { state } = benchAfter(
      liftBefore('a'),
      { type: 'patchCable', slot: 'a', index: 0, metres: 2 },
      { type: 'switchPedal', slot: 'a', index: 1, isOn: false },
      look('a', 1),
    );
    saveBench(state);
    const { state: again } = startingBench('guitar-fifths');
    expect(titles(again, 'a')).toEqual(LIFT_INTO_SOFT);
    expect(again.builds.a.title).toBe(soft.title);
    expect(pedalsOf(again, 'a').map(({ isOn }) => isOn)).toEqual([true, false]);
    expect(again.places.a.before[0]!.cableMetres).toBe(2);
    expect(isSameSound(state, again)).toBe(true);
  });

  it('is a pedal alone in the bench of an earlier version, and where what is stored is no chain', () => {
    const storage = stubStorage();
    const key = 'cliplead-bench';
    const [a, b] = [serialiseBuild(soft), serialiseBuild(led)];
    const pedal = { build: serialiseBuild(lift), isOn: true, cableMetres: 0.3 };
    for (const places of [undefined, 7, { a: { before: 'x' } }, { a: { before: [pedal, pedal, pedal] } }]) {
      storage.texts.set(key, JSON.stringify({ a, b, places }));
      expect(titles(startingBench('guitar-fifths').state, 'a')).toEqual([soft.title]);
    }
    storage.texts.set(key, JSON.stringify({ a, b, places: { a: { before: [{ ...pedal, build: '{' }] } } }));
    expect(loadBench()?.kind).toBe('broken');
    expect(parseBuildFile(pedal.build).title).toBe(lift.title);
  });
});
