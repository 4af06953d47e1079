import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { parseChainFile } from '../../engine/builds/chain-file.ts';
import { chainTitle } from '../../engine/builds/chain-swaps.ts';
import { ModLogDesk } from '../../ui/mod-log-desk.ts';
import { BenchChange } from '../../ui/state/bench-change.ts';
import type { Action, BenchState } from '../../ui/state/bench-state.ts';
import type { BenchStore } from '../../ui/state/bench-store.ts';
import { carriedOut, freshHistory, type History } from '../../ui/state/history.ts';
import { loadModLog, unreadModLog } from '../../ui/state/kept-mod-log.ts';
import {
  EMPTY_LOG,
  foundEntries,
  MOST_ENTRIES,
  MOST_LOG_CHARACTERS,
  withEntry,
  withEntryChanged,
} from '../../ui/state/mod-log.ts';
import { logText } from '../../ui/state/mod-log-file.ts';
import { sheetLog } from '../../ui/state/sheet-log.ts';
import { freshState } from '../../ui/state/starting-state.ts';
import { presetBuild } from '../preset-build.ts';
import { type FakeStorage, stubStorage } from './kept-storage.ts';

const START = new Date('2026-03-01T10:00:00Z').getTime();
const FILE = {
  time: '2026-03-01T10:00:00.000Z',
  slot: 'a',
  title: 'Plain',
  origin: 'Plain',
  played: '',
} as const;

/** The part of the store that the log follows, without the preparation of circuits. */
class Bench {
  history: History;
  readonly desk: ModLogDesk;
  #listener: (change: BenchChange) => void = () => {};

  constructor() {
    this.history = freshHistory(freshState({ a: presetBuild('soft-plain'), b: presetBuild('soft-plain') }));
    const bench = this;
    const store = {
      get state() {
        return bench.history.state;
      },
      onChange: (listener: (change: BenchChange) => void) => {
        this.#listener = listener;
      },
    };
    this.desk = new ModLogDesk(store as unknown as BenchStore);
  }

  get state(): BenchState {
    return this.history.state;
  }

  act(action: Action, afterMs = 10_000): void {
    vi.advanceTimersByTime(afterMs);
    const before = this.state;
    this.history = carriedOut(this.history, action, Date.now());
    this.#listener(new BenchChange(before, this.state));
  }

  set(ref: string, value: string, afterMs?: number): void {
    this.act({ type: 'setPart', slot: 'a', ref, setting: { value } }, afterMs);
  }

  /** Newest first. */
  get did(): readonly string[] {
    return this.desk.log.entries.map(({ slot, did }) => `${slot} ${did}`);
  }
}

let storage: FakeStorage;
let bench: Bench;

beforeEach(() => {
  vi.useFakeTimers({ now: START });
  storage = stubStorage();
  bench = new Bench();
});
afterEach(() => {
  vi.useRealTimers();
  vi.unstubAllGlobals();
});

describe('the mod log', () => {
  it('has every swap with its time, and the state before the first', () => {
    const before = bench.state.builds.a.parts['C3']!.value!;
    bench.set('C3', '100n');
    bench.set('C3', '220n');
    expect(bench.did).toEqual(['a C3 100n to 220n', `a C3 ${before} to 100n`, 'a before the next change']);
    expect(bench.desk.log.entries[0]!.time).toBe('2026-03-01T10:00:20.000Z');
    const values = bench.desk.log.entries.map(
      ({ file }) => parseChainFile(file).chain.pedals[0]!.build.parts['C3']!.value,
    );
    expect(values).toEqual(['220n', '100n', before]);
  });

  it('has the steps of one dial as one entry, and none where it comes back', () => {
    const before = bench.state.builds.a.parts['C3']!.value!;
    bench.set('C3', '100n');
    bench.set('C3', '150n', 500);
    bench.set('C3', '220n', 500);
    expect(bench.did).toEqual([`a C3 ${before} to 220n`, 'a before the next change']);
    bench.set('C3', before, 500);
    expect(bench.did).toEqual(['a before the next change']);
    bench.set('C3', '100n');
    bench.set('R4', '10k', 500);
    expect(bench.did[0]).toMatch(/^a R4 .* to 10k$/);
    expect(bench.did).toHaveLength(3);
  });

  it('writes undo down as the change back, and another build as loaded', () => {
    const before = bench.state.builds.a.parts['C3']!.value!;
    bench.set('C3', '100n');
    bench.act({ type: 'undo' });
    expect(bench.did[0]).toBe(`a C3 100n to ${before}`);
    bench.act({ type: 'load', slot: 'b', build: presetBuild('hard-plain') });
    expect(bench.did[0]).toBe(`b loaded “${presetBuild('hard-plain').title}”`);
    bench.act({ type: 'exchange' });
    expect(bench.did.slice(0, 2)).toEqual(['b sides swapped', 'a sides swapped']);
    const length = bench.did.length;
    bench.act({ type: 'hear', slot: 'b' });
    bench.act({ type: 'rename', slot: 'a', title: 'Mine' });
    expect(bench.did.slice(0, -length)).toEqual(['a now “Mine”']);
  });

  it('has verdicts with the candidate, what played, and not the stepping', () => {
    const list = ['100n', '220n'].map((value) => ({
      text: value,
      settings: { C3: { value } },
      verdict: undefined,
    }));
    bench.act({ type: 'source', source: { kind: 'string' } });
    bench.act({ type: 'listen', isListening: true });
    bench.act({ type: 'startCandidates', refs: ['C3'], list, isHidden: false });
    expect(bench.did).toEqual([]);
    bench.act({ type: 'verdict', verdict: 'better' });
    const [entry] = bench.desk.log.entries;
    expect(entry!.did).toBe(`C3 100n: better than A (A: ${bench.state.builds.a.title})`);
    expect(entry!.slot).toBe('b');
    expect(entry!.played).toBe('Plucked string');
    expect(chainTitle(parseChainFile(entry!.file).chain)).toContain('C3 100n');
    bench.act({ type: 'endCandidates', keeps: false });
    expect(bench.did).toHaveLength(1);
  });

  it('has a finished blind test at both builds, and none of an earlier visit', () => {
    const result = (finishedAt: string) => ({
      finishedAt,
      title: 'ABX: one and two',
      sentences: ['12 of 16 right.', 'So.'],
      json: '',
      text: '',
    });
    bench.act({ type: 'ear', change: { blindResults: [result('old')] } });
    expect(bench.did).toEqual([]);
    const test = { kind: 'abx', answers: [] } as never;
    bench.act({ type: 'ear', change: { blindTest: { test, heard: 'a', notice: undefined } } });
    bench.act({ type: 'ear', change: { blindResults: [result('new'), ...bench.state.ear.blindResults] } });
    const line = 'blind test, ABX: one and two: 12 of 16 right.';
    expect(bench.did).toEqual([`b ${line}`, `a ${line}`]);
  });

  it('comes back after it was emptied, before what was swapped since', () => {
    bench.set('C3', '100n');
    const { id } = bench.desk.log.entries[0]!;
    bench.desk.carryOut({ do: 'note', id, note: ' more\nbass ' });
    bench.desk.carryOut({ do: 'empty' });
    expect(bench.did).toEqual([]);
    bench.set('R4', '10k');
    bench.desk.carryOut({ do: 'putBack' });
    expect(bench.did).toHaveLength(4);
    expect(bench.desk.log.entries[2]!.note).toBe('more bass');
    expect(new Set(bench.desk.log.entries.map((entry) => entry.id)).size).toBe(4);
    expect(bench.desk.canPutBack).toBe(false);
  });

  it('drops the oldest beyond 300 entries or a million characters, and counts them', () => {
    const many = Array.from({ length: MOST_ENTRIES + 5 }, (_, index) => String(index));
    const log = many.reduce((kept, did) => withEntry(kept, { ...FILE, did, file: '' }), EMPTY_LOG);
    expect(log.entries).toHaveLength(300);
    expect(log.dropped).toBe(5);
    expect(log.entries.at(-1)!.did).toBe('5');
    const large = { ...FILE, did: '', file: 'x'.repeat(MOST_LOG_CHARACTERS * 0.6) };
    const full = withEntry(withEntry(EMPTY_LOG, large), large);
    expect([full.entries.length, full.dropped]).toEqual([1, 1]);
  });

  it('is searched by words of the swap, title, note and what played, in any order', () => {
    const entry = { time: '2026-11-29T20:00:00Z', slot: 'a', origin: '', file: '{}' } as const;
    const first = {
      ...entry,
      id: 1,
      title: 'Plain build',
      did: 'C3 47n to 100n',
      played: 'Fifths',
      note: 'Too BOOMY',
    };
    const second = { ...entry, id: 2, title: 'Plain build', did: 'R4 4k7 to 5k6', played: '', note: '' };
    const found = (search: string) => foundEntries([second, first], search).map(({ id }) => id);
    expect(found(' ')).toEqual([2, 1]);
    expect(found('boomy c3')).toEqual([1]);
    expect(found('plain  BUILD')).toEqual([2, 1]);
    expect(found('fifths 5k6')).toEqual([]);
    expect(found('.*')).toEqual([]);
  });

  it('is text with time, side, title, swap, what played and note, oldest first', () => {
    const first = { ...FILE, did: 'C3 47n to 100n', file: '', played: 'Riff 1' };
    const log = withEntry(withEntry(EMPTY_LOG, first), {
      ...FILE,
      slot: 'b',
      did: 'R4 4k7 to 10k',
      file: '',
    });
    const [newest, oldest] = log.entries;
    const lines = logText([newest!, { ...oldest!, note: 'more bass' }]).split('\n');
    expect(lines[2]).toMatch(/^2026-0\d-\d\d \d\d:\d\d:00[+-]\d\d:\d\d {2}A {2}Plain$/);
    // The local time with its distance from UTC is the same moment.
    expect(Date.parse(lines[2]!.slice(0, 25).replace(' ', 'T'))).toBe(START);
    expect(lines.slice(3, 6)).toEqual(['  C3 47n to 100n', '  Played: Riff 1', '  Note: more bass']);
    expect(lines[7]).toBe('  R4 4k7 to 10k');
  });
});

describe('the mod log in the browser', () => {
  it('is there on the next visit', () => {
    bench.set('C3', '100n');
    vi.advanceTimersByTime(1000);
    expect(loadModLog()).toEqual(bench.desk.log);
    expect(unreadModLog()).toBeUndefined();
  });

  it.each([
    ['no JSON', '{"version":1,"entr'],
    ['another version', '{"version":2,"entries":[]}'],
    ['no list', '{"version":1,"entries":{}}'],
  ])('is put aside where it is %s', (_, text) => {
    storage.texts.set('cliplead-mod-log', text);
    expect(loadModLog()).toEqual(EMPTY_LOG);
    expect(unreadModLog()).toBe(text);
  });

  it('keeps the sound entries of a damaged one, and puts the whole aside', () => {
    const sound = { ...FILE, did: 'C3', note: '', file: '{}', id: 7 };
    const entries = [
      sound,
      { ...sound, time: 'noon' },
      { ...sound, slot: 'c' },
      { ...sound, note: 5 },
      { ...sound, file: null },
      null,
      { ...sound, did: 'R4' },
    ];
    const text = JSON.stringify({ version: 1, dropped: 2, entries });
    storage.texts.set('cliplead-mod-log', text);
    const log = loadModLog();
    expect(log.entries.map(({ did, id }) => [did, id])).toEqual([
      ['C3', 2],
      ['R4', 1],
    ]);
    expect(log.dropped).toBe(2);
    expect(unreadModLog()).toBe(text);
  });
});

describe('the mod log on a bench sheet', () => {
  const sides = freshState({ a: presetBuild('soft-plain'), b: presetBuild('soft-led') });
  const entry = (did: string, own: Partial<typeof FILE & { note: string }> = {}) => ({
    ...FILE,
    origin: sides.builds.a.start.title,
    did,
    file: '',
    ...own,
  });

  it('has the entries of the build that is there, the oldest first, and says how many were left out', () => {
    let log = withEntry(EMPTY_LOG, entry('of another build', { origin: 'Fuzz' as 'Plain' }));
    for (let number = 1; number <= 22; number++) log = withEntry(log, entry(`swap ${number}`));
    log = withEntryChanged(log, log.entries[0]!.id, { note: 'keep it', played: 'riff' });
    const lines = sheetLog(log, sides, 'a');
    expect(lines).toHaveLength(21);
    expect(lines[0]).toBe('2 older entries not printed.');
    expect(lines[1]).toMatch(/^2026-03-01 \d\d:00: swap 3\.$/);
    expect(lines.at(-1)).toMatch(/: swap 22\. Played: riff\. Note: keep it$/);
    expect(sheetLog(log, sides, 'b')).toEqual([]);
  });

  it('goes with the build when the sides are swapped, and begins where it was loaded', () => {
    bench.set('C3', '100n');
    bench.act({ type: 'setPart', slot: 'b', ref: 'R4', setting: { value: '10k' } });
    bench.act({ type: 'exchange' });
    bench.set('R4', '12k');
    const told = (slot: 'a' | 'b') =>
      sheetLog(bench.desk.log, bench.state, slot).map((line) => line.replace(/^.*\d: /, ''));
    expect(told('a')).toEqual([expect.stringMatching(/^R4 .* to 10k\.$/), 'R4 10k to 12k.']);
    expect(told('b')).toEqual([expect.stringMatching(/^C3 .* to 100n\.$/)]);
    bench.act({ type: 'load', slot: 'a', build: presetBuild('hard-plain') });
    bench.act({ type: 'load', slot: 'a', build: presetBuild('soft-plain') });
    expect(told('a')).toEqual([expect.stringMatching(/^loaded/)]);
  });
});
