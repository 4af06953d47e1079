import { describe, expect, it } from 'vitest';
import type { NetVolts } from '../../engine/analysis/net-volts.ts';
import { USUAL_TEST } from '../../engine/analysis/steady-sine.ts';
import { withAlias } from '../../engine/builds/alias.ts';
import type { Build } from '../../engine/builds/build.ts';
import { parseBuildFile, serialiseBuild } from '../../engine/builds/build-file.ts';
import { USUAL_PATCH_METRES } from '../../engine/builds/chain.ts';
import { serialiseChain } from '../../engine/builds/chain-file.ts';
import { fitPiece } from '../../engine/parts/piece-fit.ts';
import { loadFile } from '../../ui/build-files.ts';
import { type SwappedPedals, swapPedals, switchPedal } from '../../ui/hands/chain-hands.ts';
import { pedalTitles, withPedalNames } from '../../ui/pedal-names.ts';
import { levelPedals } from '../../ui/plots/level-pedals.ts';
import { levelsView } from '../../ui/plots/levels-view.ts';
import { analyse, type PlottedSine, type ResponseAnalysis } from '../../ui/plots/plot-analysis.ts';
import type { PlotView } from '../../ui/plots/plot-view.ts';
import { hasSameNets } from '../../ui/plots/same-nets.ts';
import type { Action, BenchState } from '../../ui/state/bench-state.ts';
import { BenchStore } from '../../ui/state/bench-store.ts';
import { type Joining, joining } from '../../ui/state/chain-actions.ts';
import { areCompared, chainNotes } from '../../ui/state/chain-notes.ts';
import { chainOf, indexIn, lookedText, pedalsOf } from '../../ui/state/chains.ts';
import { carriedOut, freshHistory } from '../../ui/state/history.ts';
import { soundAhead, soundChange } from '../../ui/state/matched-sound.ts';
import { playedBuild, playedNetwork } from '../../ui/state/played-network.ts';
import { canonicalAction } from '../../ui/state/refused-action.ts';
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

/** Build A by itself. */
const alone = (build: Build): BenchState => freshState({ a: build, b: led });
const NONE = { a: undefined, b: undefined };

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

  it('puts the probe back on the output when undo, redo or another build bring another circuit', () => {
    const probe: Action = { type: 'probe', net: 'clipped' };
    const blend: Action = { type: 'load', slot: 'a', build: lift };
    expect(benchAfter(probe, blend).state.probe).toBeUndefined();
    expect(benchAfter(blend, probe, { type: 'undo' }).state.probe).toBeUndefined();
    expect(benchAfter(blend, { type: 'undo' }, probe, { type: 'redo' }).state.probe).toBeUndefined();
    expect(benchAfter(probe, { type: 'load', slot: 'a', build: led }, { type: 'undo' }).state.probe).toBe(
      'clipped',
    );
  });

  it('keeps the pieces that were measured, whatever pedals come or go', () => {
    const piece = fitPiece({ name: 'J', kind: 'nJfet', like: 'J201', zeroBiasDrainA: 6e-4, cutoffV: 0.7 });
    const measured: Build = { ...soft, pieces: [piece] };
    const loaded: Action = { type: 'load', slot: 'a', build: measured };
    const chain = { pedals: [lift, soft].map((build) => ({ build, isOn: true, cableMetres: 0.3 })) };
    const changes: readonly (readonly Action[])[] = [
      [liftBefore('a')],
      [{ type: 'loadChain', slot: 'a', chain }],
      [{ type: 'copy', from: 'b', to: 'a' }],
      [liftBefore('a'), { type: 'load', slot: 'a', build: led }],
    ];
    for (const change of changes)
      expect(benchAfter(loaded, ...change).state.builds.a.pieces).toEqual([piece]);
    const [remove] = [{ type: 'removePedal', slot: 'a', index: 0 }] as const;
    const left = benchAfter(liftBefore('a'), { ...loaded, build: { ...lift, pieces: [piece] } }, remove);
    expect(left.state.builds.a).toEqual({ ...soft, pieces: [piece] });
  });

  it('gets other pedals together with the other side, and both come back at once', () => {
    const chain = { pedals: [lift, led].map((build) => ({ build, isOn: true, cableMetres: 0.3 })) };
    const store = benchAfter({
      type: 'loadBoth',
      chains: { a: chain, b: { pedals: [...chain.pedals].reverse() } },
      index: 1,
    });
    expect([titles(store.state, 'a'), titles(store.state, 'b')]).toEqual([
      [lift.title, led.title],
      [led.title, lift.title],
    ]);
    expect(store.state.builds).toMatchObject({ a: { title: led.title }, b: { title: lift.title } });
    store.act({ type: 'undo' });
    expect(store.state.builds.a).toBe(soft);
    expect(store.canUndo).toBe(false);
  });

  it('takes a build in place of a pedal once it is full', () => {
    const full = benchAfter(liftBefore('a'), liftBefore('a')).state;
    expect(joining('a', full.places.a, led, 'before')).toEqual({ type: 'load', slot: 'a', build: led });
  });

  it('takes a build of a file beside the pedal that is looked at; a chain only in place of all', async () => {
    const store = new BenchStore(benchAfter(liftBefore('a'), look('a', 1)).state);
    const load = (text: string, joins: Joining) =>
      loadFile(store, { slot: 'a', file: new File([text], 'own.json'), joins }, () => expect.fail());
    expect(await load(serialiseBuild(led), 'before')).toBeUndefined();
    expect(titles(store.state, 'a')).toEqual([lift.title, led.title, soft.title]);
    const chain = chainOf(benchAfter(liftBefore('b')).state, 'b');
    const text = serialiseChain({ title: 'Two', chain });
    const message = await load(text, 'after');
    expect(message).toMatch(/^"own.json" was not opened: a chain replaces every pedal\./);
    expect(pedalsOf(store.state, 'a')).toHaveLength(3);
    expect(await load(text, 'instead')).toBeUndefined();
    expect(titles(store.state, 'a')).toEqual([lift.title, led.title]);
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

  it('has the names and groups of the own board in every pedal of the circuit, on both sides', () => {
    const groups = [{ name: 'Clippers', parts: ['D1', 'D2'] }];
    const bench = benchAfter(
      { type: 'addPedal', slot: 'a', index: 1, build: lift },
      { type: 'addPedal', slot: 'a', index: 0, build: soft },
      { type: 'alias', ref: 'D1', alias: 'DX' },
      { type: 'groups', groups },
    );
    const [first, second, other] = pedalsOf(bench.state, 'a').map(({ build }) => build);
    for (const build of [first, second, bench.state.builds.b]) {
      expect(build!.aliases).toEqual({ D1: 'DX' });
      expect(build!.groups).toEqual(groups);
    }
    expect(other).toBe(lift);
    bench.act({ type: 'groups', groups: [] });
    expect(pedalsOf(bench.state, 'a').map(({ build }) => build.groups)).toEqual([
      undefined,
      undefined,
      undefined,
    ]);
  });

  it('refuses a name that another part has in a pedal that is not looked at', () => {
    const named = withAlias(soft, 'D2', 'DX');
    const { state } = benchAfter({ type: 'addPedal', slot: 'b', index: 0, build: named }, look('b', 1));
    expect(canonicalAction(state, { type: 'alias', ref: 'D1', alias: 'DX' })).toMatchObject({
      type: 'refuse',
      message: expect.stringContaining('D2 has that name already'),
    });
  });

  it('ends candidates when it changes', () => {
    const list = [{ text: 'OA91', settings: { D1: { type: 'OA91' } }, verdict: undefined }];
    const start: Action = { type: 'startCandidates', refs: ['D1'], list, isHidden: false };
    const store = benchAfter(liftBefore('a'), look('a', 1), start);
    store.act({ type: 'switchPedal', slot: 'a', index: 0, isOn: false });
    expect(store.state.ear.candidates?.at).toBeUndefined();
  });

  it('lets candidates go on when another pedal is looked at, in their own pedal, and leaves nothing to undo', () => {
    const list = ['OA91', '1N34A'].map((type) => ({
      text: type,
      settings: { D1: { type } },
      verdict: undefined,
    }));
    const start: Action = { type: 'startCandidates', refs: ['D1'], list, isHidden: true };
    const chain = { pedals: [lift, soft].map((build) => ({ build, isOn: true, cableMetres: 0.3 })) };
    const load: Action = { type: 'loadChain', slot: 'a', chain, index: 1 };
    const store = benchAfter(load, start, look('a', 0));
    expect(store.state.ear.candidates).toMatchObject({ at: 0, isHidden: true });
    const name = Object.keys(lift.knobs)[0]!;
    store.act({ type: 'turnKnob', slot: 'b', name, rotation: 0.25, isAlone: true });
    store.act({ type: 'candidate', step: 1 });
    const [first, second] = pedalsOf(store.state, 'b');
    expect(second!.build.parts['D1']).toEqual({ type: '1N34A' });
    // As with the knobs of the candidate's own pedal.
    expect(first!.build.knobs[name]).toBe(0.25);
    expect(store.state.builds.a).toBe(soft);
    store.act(look('b', 0));
    store.act({ type: 'endCandidates', keeps: false });
    expect(pedalsOf(store.state, 'b').map(({ build }) => build)).toEqual([led]);
    store.act({ type: 'undo' });
    expect(titles(store.state, 'a')).toEqual([soft.title]);
    expect(store.canUndo).toBe(false);
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

describe('the figures of a chain on the bench', () => {
  const chain = benchAfter(liftBefore('a'), look('a', 1)).state;
  const subject = { ...playedBuild(chain, 'a'), probe: undefined };

  const sineOf = (state: BenchState, slot: Slot) =>
    analyse({
      kind: 'sine',
      subject: { ...playedBuild(state, slot), probe: undefined },
      test: USUAL_TEST,
    }) as PlottedSine;
  const levelsOf = (state: BenchState) =>
    levelsView({
      response: NONE,
      spread: NONE,
      clips: NONE,
      sine: { a: sineOf(state, 'a'), b: sineOf(state, 'b') },
      pedal: undefined,
      pedals: levelPedals(state),
      place: '',
      heard: 'a',
      from: '',
      ...USUAL_TEST,
    });

  it('are the levels of all its pedals in order, beside those of their counterparts on the other side', () => {
    expect(sineOf(chain, 'a').clippingNode).toBe('2:clipped');
    // B is a pedal alone, of the same circuit as A's second.
    const view = levelsOf(chain);
    const names = view.rowNames!;
    expect(names.indexOf('pedal 1 of A clipped')).toBeGreaterThan(0);
    const clipped = names.indexOf('pedal 2 of A, 1 of B clipped');
    expect(clipped).toBeGreaterThan(names.indexOf('pedal 1 of A out'));
    expect(view.groups?.map(({ title }) => title)).toEqual([
      '1 of A Clean blend',
      '2 of A, 1 of B Soft clip',
    ]);
    expect(view.groups?.at(-1)?.last).toBe(names.length - 1);
    const [, a, b] = view.data;
    expect([a![clipped], b![clipped]].every((volts) => volts! > 0)).toBe(true);
    expect(b![names.indexOf('pedal 1 of A out')]).toBeNull();
    // The first pedal of a chain has the levels that it has alone: half a megohm follows its output of some kilohms, less than 0.1 dB.
    const alone = levelsOf(benchAfter({ type: 'load', slot: 'a', build: lift }).state);
    const volts = (shown: PlotView, name: string) => shown.data[1]![shown.rowNames!.indexOf(name)]!;
    for (const net of ['buffered', 'summed'])
      expect(volts(view, `pedal 1 of A ${net}`) / volts(alone, net)).toSatisfy(
        (ratio: number) => Math.abs(20 * Math.log10(ratio)) < 0.1,
      );
  });

  it('have no levels of a pedal that is off', () => {
    const off = benchAfter(liftBefore('a'), { type: 'switchPedal', slot: 'a', index: 0, isOn: false });
    expect(levelsOf(off.state).groups?.map(({ title }) => title)).toEqual(['2 of A, 1 of B Soft clip']);
  });

  it('are its own DC voltages: half of its supply at the bias', () => {
    const volts = analyse({ kind: 'volts', played: subject }) as NetVolts;
    // R15 and R16 are equal, and the buffers' bias current through them moves it by some hundredths of a volt.
    expect(volts['bias']).toBeCloseTo(4.5, 0);
    expect(Object.keys(volts)).not.toContain('2:bias');
  });

  it('go from the first input to the last output: in decibels the gains of both where a buffer parts them', () => {
    const db = (state: BenchState) =>
      analyse({
        kind: 'response',
        subject: { ...playedBuild(state, 'a'), probe: undefined },
      }) as ResponseAnalysis;
    const [both, first, second] = [chain, alone(lift), alone(soft)].map(db);
    // The first has an output of some kilohms, the input of the second is half a megohm: 0.1 dB or so.
    for (const index of [60, 90, 120]) expect(both![index]).toBeCloseTo(first![index]! + second![index]!, 0);
  });

  it('are of other nets where another pedal is looked at or moved, or a pedal is added, not after a change of a part', () => {
    const of = (state: BenchState) => ({ ...playedBuild(state, 'a'), probe: undefined });
    const others: readonly Action[] = [
      look('a', 0),
      { type: 'movePedal', slot: 'a', from: 1, to: 0 },
      { type: 'load', slot: 'a', build: lift },
    ];
    for (const action of others)
      expect(hasSameNets(subject, of(benchAfter(liftBefore('a'), look('a', 1), action).state))).toBe(false);
    // A pedal alone has no number before its nets.
    const added = benchAfter({ type: 'addPedal', slot: 'a', index: 1, build: lift }, look('a', 0)).state;
    expect(hasSameNets(of(alone(soft)), of(added))).toBe(false);
    expect(hasSameNets(of(alone(soft)), of(alone(led)))).toBe(true);
  });

  it('name a pedal in a row by its circuit, and by its build where that says more', () => {
    expect(pedalTitles(soft)).toEqual({ circuit: 'Soft clip', title: 'Plain build' });
    expect(pedalTitles({ ...soft, title: 'Soft clip, loud' })).toEqual({
      circuit: 'Soft clip',
      title: 'loud',
    });
    expect(pedalTitles({ ...soft, title: 'Soft clip' })).toEqual({ circuit: 'Soft clip', title: '' });
  });

  it('say the pedals that are looked at, of each side where these differ', () => {
    const order: Action = { type: 'movePedal', slot: 'a', from: 0, to: 1 };
    expect(lookedText(benchAfter().state.places)).toBeUndefined();
    expect(lookedText(benchAfter(liftBefore('a'), liftBefore('b')).state.places)).toBe('pedal 1');
    expect(lookedText(benchAfter(liftBefore('a'), liftBefore('b'), order).state.places)).toBe(
      'pedal 2 of A and pedal 1 of B',
    );
  });

  it('name the pedal of a part on the screen', () => {
    expect(withPedalNames("Most of it (27 %) is 1:U1B's voltage noise, at 37.2 dB of gain.")).toBe(
      "Most of it (27 %) is pedal 1 U1B's voltage noise, at 37.2 dB of gain.",
    );
    expect(withPedalNames('Net 2:gain input has no DC path to ground (only 2:C2 touches it).')).toBe(
      'Net pedal 2 gain input has no DC path to ground (only pedal 2 C2 touches it).',
    );
    expect(withPedalNames('gain 1:00 to 12:30')).toBe('gain 1:00 to 12:30');
  });
});

describe('what differs between two chains', () => {
  const both = [liftBefore('a'), liftBefore('b')] as const;
  const textsAfter = (...actions: readonly Action[]) =>
    chainNotes(benchAfter(...both, ...actions).state).map(({ text }) => text);

  it('is told pedal by pedal, without the swaps of the pedals that are looked at', () => {
    const swapped = 'pedal 2: D1 1N4148 → LED-red, D2 1N4148 → LED-red, 3 more';
    expect(textsAfter()).toEqual([swapped]);
    expect(textsAfter(look('a', 1))).toEqual([]);
    expect(textsAfter({ type: 'switchPedal', slot: 'b', index: 0, isOn: false })).toEqual([
      'pedal 1: on → off',
      swapped,
    ]);
    expect(textsAfter(look('a', 1), { type: 'patchCable', slot: 'b', index: 0, metres: 5 })).toEqual([
      'cable after pedal 1: 0.3 m → 5 m',
    ]);
  });

  it('names the swaps of pedals that are not looked at, in another order too', () => {
    const set: Action = { type: 'setPart', slot: 'b', ref: 'R4', setting: { value: '10k' } };
    const alike: Action = { type: 'load', slot: 'b', build: soft };
    const before = [look('b', 1), alike, set, look('b', 0)];
    expect(textsAfter(...before)).toEqual(['pedal 2: R4 4k7 → 10k']);
    const moved: Action = { type: 'movePedal', slot: 'b', from: 0, to: 1 };
    expect(textsAfter(...before, moved)).toEqual([
      'order of the pedals',
      'pedal 2 of A, 1 of B: R4 4k7 → 10k',
    ]);
  });

  it('is told once of a pedal that one side alone has, which is compared with nothing', () => {
    const bench = benchAfter(...both, { type: 'removePedal', slot: 'b', index: 0 }).state;
    expect(bench.builds.a).toBe(lift);
    expect(areCompared(bench)).toBe(false);
    const [only, swapped] = chainNotes(bench);
    expect(only).toEqual({
      text: 'pedal 1 only in A: Clean blend',
      whole: `pedal 1 only in A: Clean blend, ${lift.title}`,
    });
    expect(swapped).toMatchObject({
      text: expect.stringMatching(/^pedal 2 of A, 1 of B: D1 /),
      pair: [1, 0],
    });
  });

  it('is compared with the counterpart once its pedal is looked at', () => {
    const alone: Action = { type: 'removePedal', slot: 'b', index: 0 };
    const bench = benchAfter(...both, alone, look('a', 1)).state;
    expect([bench.builds.a, bench.builds.b]).toEqual([soft, led]);
    expect(areCompared(bench)).toBe(true);
    expect(chainNotes(bench).map(({ text }) => text)).toEqual(['pedal 1 only in A: Clean blend']);
  });
});

describe('hands in a chain', () => {
  const handsOn = (state: BenchState) => {
    const asked: Action[] = [];
    const bench = { store: { wanted: state } as BenchStore, act: (action: Action) => asked.push(action) };
    return { asked, bench };
  };

  it('bring the first order of three pedals back when two are swapped twice', () => {
    for (const index of [0, 1, 2]) {
      const store = benchAfter(
        liftBefore('a'),
        { type: 'addPedal', slot: 'a', index: 0, build: led },
        look('a', index),
      );
      const order = titles(store.state, 'a');
      let last: SwappedPedals | undefined;
      const swap = () => {
        const act = (action: Action) => store.act(action);
        last = swapPedals({ store: { wanted: store.state } as BenchStore, act }, last);
      };
      swap();
      expect(titles(store.state, 'a')).not.toEqual(order);
      swap();
      expect(titles(store.state, 'a')).toEqual(order);
    }
  });

  it('switch pedals of the side that plays, and swap two', () => {
    const { asked, bench } = handsOn(benchAfter(liftBefore('a')).state);
    switchPedal(bench, 1);
    switchPedal(bench, 2);
    swapPedals(bench, undefined);
    expect(asked).toEqual([
      { type: 'switchPedal', slot: 'a', index: 1, isOn: false },
      { type: 'movePedal', slot: 'a', from: 0, to: 1 },
    ]);
  });

  it('do nothing with a pedal alone', () => {
    const { asked, bench } = handsOn(benchAfter().state);
    switchPedal(bench, 0);
    swapPedals(bench, undefined);
    expect(asked).toEqual([]);
  });
});
