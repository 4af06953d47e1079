import { afterEach, describe, expect, it } from 'vitest';
import type { BlindButton } from '../../engine/analysis/blind-test.ts';
import { HandDesk } from '../../ui/hands/hand-desk.ts';
import { HandRunner } from '../../ui/hands/hand-runner.ts';
import { LONG_PRESS_MS } from '../../ui/hands/press-timing.ts';
import { readMidi } from '../../ui/midi/midi-messages.ts';
import type { Action } from '../../ui/state/bench-state.ts';
import type { EarState } from '../../ui/state/ear-state.ts';
import { keptTexts } from '../../ui/storage/kept-texts.ts';
import { startedStore } from '../started-bench.ts';

const LIVE = { kind: 'live', deviceId: 'interface', channel: 0 } as const;

afterEach(() => {
  keptTexts.keep('keys', undefined);
  keptTexts.keep('midi', undefined);
});

/** Hands over a bench without sound, at a time that the test sets. */
function handsOverBench() {
  const store = startedStore();
  const acted: Action[] = [];
  const blindPresses: (string | BlindButton)[] = [];
  const gate = { isOpen: true, hasDialog: false };
  let nowMs = 0;
  let tasks: { atMs: number; task: () => void }[] = [];
  const after = (ms: number, task: () => void) => void tasks.push({ atMs: nowMs + ms, task });
  const pass = (ms: number) => {
    nowMs += ms;
    const due = tasks.filter(({ atMs }) => atMs <= nowMs);
    tasks = tasks.filter(({ atMs }) => atMs > nowMs);
    for (const { task } of due) task();
  };
  const act = (action: Action) => {
    acted.push(action);
    if (gate.isOpen) store.act(action);
  };
  const runner = new HandRunner({
    store,
    act,
    useSource: async (source) => store.act({ type: 'source', source }),
    blind: {
      press: (key) => {
        blindPresses.push(key);
        return true;
      },
      answerHeard: (button) => void blindPresses.push(`answer ${button}`),
    },
    showKeys: () => {},
    hasDialog: () => gate.hasDialog,
  });
  const hands = new HandDesk(runner, { wanted: () => store.wanted, act }, after);
  const key = (name: string, isDown: boolean) => {
    const id = hands.actionOf(name);
    if (!hands.learnKey(name, isDown, nowMs) && id) hands.pressKey(id, isDown, false, nowMs);
  };
  return {
    store,
    gate,
    hands,
    acted,
    blindPresses,
    pass,
    down: (name = ' ') => key(name, true),
    up: (name = ' ') => key(name, false),
    tap: (name = ' ') => {
      key(name, true);
      pass(100);
      key(name, false);
    },
    midi: (...data: number[]) => hands.takeMidi(readMidi(Uint8Array.from(data))!, nowMs),
    ear: (change: Partial<EarState>) => store.act({ type: 'ear', change }),
  };
}

describe('one foot switch', () => {
  it('switches A and B at once', () => {
    const { store, tap, pass } = handsOverBench();
    tap();
    expect(store.state.heard).toBe('b');
    pass(400);
    tap();
    expect(store.state.heard).toBe('a');
  });

  it('takes the switch back with a second press soon after, and brings the next candidate', () => {
    const { tap, acted } = handsOverBench();
    tap();
    tap();
    expect(acted.map((action) => ('slot' in action ? action.slot : action.type))).toEqual([
      'b',
      'a',
      'candidate',
    ]);
  });

  it('records with a long press, during which A and B go back, and a keyboard that repeats changes nothing', () => {
    const { store, hands, down, up, pass, acted } = handsOverBench();
    store.act({ type: 'source', source: LIVE });
    down();
    for (let repeat = 0; repeat < 10; repeat++) hands.pressKey('foot', true, true, 30 * repeat);
    expect(store.state.heard).toBe('b');
    pass(LONG_PRESS_MS);
    up();
    expect(store.state.heard).toBe('a');
    expect(acted.at(-1)).toEqual({ type: 'earCommand', command: { do: 'pressCapture' } });
    pass(5000);
    expect(acted.filter(({ type }) => type === 'earCommand')).toHaveLength(1);
  });

  it('begins and ends a recording at once, and a nervous second press does no more', () => {
    const { acted, tap, pass, ear } = handsOverBench();
    ear({ capture: 'counting' });
    tap();
    ear({ capture: 'capturing' });
    tap();
    pass(1000);
    expect(acted).toEqual([{ type: 'earCommand', command: { do: 'pressCapture' } }]);
  });

  it('stops the riff with a long press, back to the input that was open, and says what a recording needs', () => {
    const { store, down, up, pass } = handsOverBench();
    const hold = () => {
      down();
      pass(LONG_PRESS_MS);
      up();
      pass(1000);
    };
    hold();
    expect(store.state.refusal?.message).toBe('To record, choose a live instrument as the input.');
    store.act({ type: 'source', source: LIVE });
    store.act({ type: 'source', source: { kind: 'riff', id: '1' } });
    hold();
    expect(store.state.source).toEqual(LIVE);
  });

  it('plays the next button in a blind test, and answers with what played before when it is held', () => {
    const { blindPresses, acted, down, up, pass, tap, ear } = handsOverBench();
    ear({
      blindTest: {
        test: { kind: 'abx', plannedTrials: 4, trials: [{}] },
        heard: 'b',
        notice: undefined,
      },
    });
    tap();
    tap();
    expect(blindPresses).toEqual([' ', ' ']);
    pass(1000);
    down();
    pass(LONG_PRESS_MS);
    up();
    expect(blindPresses.slice(2)).toEqual([' ', 'answer b']);
    expect(acted, 'nothing changes on the bench').toEqual([]);
  });
});

describe('a blind test', () => {
  it('keeps all else from happening: no change, no undo, no probe, no knob', () => {
    const { acted, hands, store, ear, tap, midi } = handsOverBench();
    hands.learn('knob gain');
    midi(0xb0, 7, 3);
    ear({
      blindTest: {
        test: { kind: 'preference', plannedTrials: 4, trials: [{}] },
        heard: '1',
        notice: undefined,
      },
    });
    const before = store.state;
    for (const key of ['e', 'l', 'p', 'r', '1', 'ArrowUp', 'ArrowRight', '?']) tap(key);
    midi(0xb0, 7, 127);
    expect(store.state).toBe(before);
    expect(acted).toEqual([]);
    tap(',');
    tap('s');
    expect(acted).toEqual([
      { type: 'earCommand', command: { do: 'answerBlind', answer: '1' } },
      { type: 'earCommand', command: { do: 'skipTrial' } },
    ]);
  });
});

describe('hands', () => {
  it('change nothing but through the one gate of the bench, which may be closed', () => {
    const { store, gate, acted, tap, pass } = handsOverBench();
    gate.isOpen = false;
    const before = store.state;
    for (const key of ['ArrowUp', 'ArrowDown', 'ArrowRight', 'ArrowLeft', '.', '1', 'e', 'p', 'l']) {
      tap(key);
      pass(1000);
    }
    expect(store.state).toBe(before);
    expect(acted.map(({ type }) => type)).toEqual(expect.arrayContaining(['setPart', 'select', 'probe']));
  });

  it('do nothing but mute while a dialog is open, since a cable may connect output and input', () => {
    const { store, gate, acted, tap, pass } = handsOverBench();
    gate.hasDialog = true;
    for (const key of ['m', ' ', 'e', 'ArrowUp', 'r', 's']) {
      tap(key);
      pass(1000);
    }
    expect(acted).toEqual([]);
    store.act({ type: 'listen', isListening: true });
    tap('m');
    expect(store.state.isListening).toBe(false);
    pass(1000);
    tap('m');
    expect(store.state.isListening).toBe(false);
  });
});

describe('the mute switch', () => {
  it('mutes when it is held, and brings the sound back with a short press', () => {
    const { store, hands, down, up, tap, pass } = handsOverBench();
    hands.learn('mute');
    tap('F9');
    pass(1000);
    down('F9');
    pass(1000);
    up('F9');
    store.act({ type: 'listen', isListening: true });
    tap('F9');
    pass(1000);
    expect(store.state.isListening).toBe(true);
    down('F9');
    pass(LONG_PRESS_MS);
    up('F9');
    expect(store.state.isListening).toBe(false);
    tap('F9');
    expect(store.state.isListening).toBe(true);
  });
});

describe('a switch that is learned', () => {
  it('latches if it alternates: then every press counts, and that it has no long press is said', () => {
    const { store, hands, midi, pass } = handsOverBench();
    hands.learn('foot');
    midi(0xb0, 64, 127);
    for (const [value, step] of [
      [0, 'press briefly'],
      [127, 'let go'],
      [0, undefined],
    ] as const) {
      pass(1000);
      midi(0xb0, 64, value);
      expect(hands.state.learning?.step).toBe(step);
    }
    expect(hands.state.note).toEqual({
      target: 'foot',
      text: 'Learned. This switch latches, so it has no long press.',
    });
    for (const [value, heard] of [
      [127, 'b'],
      [0, 'a'],
      [127, 'b'],
    ] as const) {
      pass(1000);
      midi(0xb0, 64, value);
      expect(store.state.heard).toBe(heard);
    }
  });

  it('counts from its first press on, also if it latches and was on before', () => {
    const bound = { kind: 'controller', channel: 1, number: 64, press: 'latching' };
    keptTexts.keep('midi', JSON.stringify({ switch: bound }));
    const { store, midi } = handsOverBench();
    midi(0xb0, 64, 0);
    expect(store.state.heard).toBe('b');
  });

  it('counts once for a pedal that passes through the values between, and each time for programme changes', () => {
    const { store, hands, midi, pass } = handsOverBench();
    hands.learn('switch');
    for (const value of [127, 0, 127]) {
      midi(0xb0, 64, value);
      pass(300);
    }
    midi(0xb0, 64, 0);
    for (const value of [20, 80, 100, 127, 90, 0]) midi(0xb0, 64, value);
    expect(store.state.heard).toBe('b');
    hands.learn('switch');
    midi(0xc0, 5);
    pass(1000);
    midi(0xc0, 5);
    for (let times = 0; times < 3; times++) {
      pass(1000);
      midi(0xc0, 5);
    }
    expect(store.state.heard).toBe('a');
  });

  it('asks before it takes a key from another action', () => {
    const { hands, tap, pass } = handsOverBench();
    for (const takesIt of [false, true]) {
      hands.learn('record');
      tap('e');
      pass(1000);
      tap('e');
      expect(hands.state.conflict?.holder).toBe('bypass');
      expect(hands.actionOf('e')).toBe('bypass');
      hands.resolve(takesIt);
      expect(hands.state.conflict).toBeUndefined();
    }
    expect([hands.actionOf('e'), hands.actionOf('r')]).toEqual(['record', undefined]);
    expect(hands.footKey).toBe('Space');
    hands.forgetKey('foot');
    expect(hands.footKey).toBe('Foot switch');
    hands.resetKeys();
    expect([hands.actionOf('e'), hands.actionOf('r')]).toEqual(['bypass', 'record']);
  });

  it('takes a key from a fixed meaning only after a question, where both could be meant', () => {
    const { hands, tap, down, up, pass } = handsOverBench();
    for (const [target, key, does] of [
      ['record', 'g', 'plot as large as the window, and back'],
      ['foot', 'b', 'in a blind test: play that button'],
      ['record', 'b', undefined],
    ] as const) {
      hands.learn(target);
      tap(key);
      pass(1000);
      down(key);
      pass(1000);
      up(key);
      const { conflict } = hands.state;
      expect(typeof conflict?.holder === 'object' ? conflict.holder.does : undefined).toBe(does);
      hands.resolve(does === undefined);
    }
    expect(hands.actionOf('b')).toBe('record');
  });

  it('cannot be Enter, which is said', () => {
    const { hands, tap } = handsOverBench();
    hands.learn('record');
    tap('Enter');
    expect(hands.state.note?.text).toBe('Enter is for fields and buttons. Use another key.');
  });
});
