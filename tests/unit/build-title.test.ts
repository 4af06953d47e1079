import { describe, expect, it } from 'vitest';
import type { Build, PartSetting } from '../../engine/builds/build.ts';
import { parseBuildFile, serialiseBuild } from '../../engine/builds/build-file.ts';
import { buildNotes, buildTitle, copyOf, withTitle } from '../../engine/builds/build-title.ts';
import { withPart } from '../../engine/builds/part-figures.ts';
import { BenchStore } from '../../ui/state/bench-store.ts';
import { withPresetStart } from '../../ui/state/presets.ts';
import { loadBench, saveBench } from '../../ui/state/saved-bench.ts';
import { freshState } from '../../ui/state/starting-state.ts';
import { presetBuild } from '../preset-build.ts';
import { stubStorage } from './kept-storage.ts';

const plain = presetBuild('soft-plain');
const OA91 = { type: 'OA91' };

function swapped(build: Build, settings: Record<string, PartSetting>): Build {
  return Object.entries(settings).reduce((so, [ref, setting]) => withPart(so, ref, setting), build);
}

const germanium = swapped(plain, { D1: OA91, D2: OA91, D3: OA91 });

/** The build after it was written to a build file and read back, as when it is kept and sent. */
const written = (build: Build) => parseBuildFile(serialiseBuild(build));

describe('the title of a build', () => {
  it.each<[Record<string, PartSetting>, string]>([
    [{}, 'Plain build'],
    [{ D1: OA91 }, 'Plain build, D1 OA91'],
    [{ D1: OA91, D2: OA91 }, 'Plain build, D1 and D2 OA91'],
    [{ D1: OA91, D2: OA91, D3: OA91 }, 'Plain build, D1 to D3 OA91'],
    [{ D1: OA91, D3: OA91 }, 'Plain build, D1 and D3 OA91'],
    [{ D1: OA91, C3: { value: '100n' } }, 'Plain build, C3 100n, D1 OA91'],
    [{ C3: { value: '47n', fit: 'open' } }, 'Plain build, C3 not fitted'],
    [{ R4: { value: '4k7', fit: 'bridged' } }, 'Plain build, R4 jumpered'],
    [{ D1: { type: '1N4148', count: 2 } }, 'Plain build, D1 2x 1N4148'],
    // The capacitors around the part come first; designators with two digits come after the others.
    [{ C2: { value: '1n' }, C10: { value: '1n' } }, 'Plain build, C2 and C10 1n'],
  ])('follows its swaps: %j', (settings, title) => {
    expect(buildTitle(swapped(plain, settings))).toBe(title);
  });

  it('counts the swaps when they are too many for a list', () => {
    const values = { R1: '1k', R2: '1k5', R3: '2k2', R4: '3k3', R5: '4k7' };
    const settings = Object.entries(values).map(([ref, value]) => [ref, { value }] as const);
    expect(buildTitle(swapped(plain, Object.fromEntries(settings)))).toBe('Plain build, 5 swaps');
  });

  it('is the starting title again when the swaps are undone, and does not depend on the knobs', () => {
    expect(buildTitle(swapped(germanium, plain.parts))).toBe('Plain build');
    expect(buildTitle({ ...plain, knobs: { ...plain.knobs, gain: 1 } })).toBe('Plain build');
  });

  it('depends on switches and the bypass', () => {
    const lifted = { ...plain, switches: { clipping: 'lifted' } };
    expect(buildTitle(lifted)).toBe('Plain build, clipping lifted');
    expect(buildTitle({ ...plain, bypass: 'buffered' })).toBe('Plain build, buffered bypass');
  });

  it('is the builder’s own title once it is given, whatever is swapped later, until the builder clears it', () => {
    const named = withTitle(germanium, ' For Sunday ');
    expect(buildTitle(named)).toBe('For Sunday');
    expect(buildTitle(swapped(named, { C3: { value: '100n' } }))).toBe('For Sunday');
    expect(buildTitle(withTitle(named, '  '))).toBe('Plain build, D1 to D3 OA91');
    expect(withTitle(plain, '')).toBe(plain);
  });

  it('distinguishes a copy from its original, with a title of the builder’s own too', () => {
    expect(buildTitle(copyOf(germanium))).toBe('Plain build, D1 to D3 OA91');
    const copy = copyOf(withTitle(germanium, 'For Sunday'));
    expect(buildTitle(copy)).toBe('For Sunday');
    expect(buildTitle(swapped(copy, { C3: { value: '100n' } }))).toBe('For Sunday, C3 100n');
  });
});

describe('the notes of a build', () => {
  it('name the build that they were written for once the build is changed', () => {
    expect(buildNotes(plain)).toBe(plain.notes);
    expect(plain.notes).toMatch(/^One silicon diode each way/);
    expect(buildNotes(germanium)).toBe(`Started from Plain build: ${plain.notes}`);
    expect(buildNotes(withTitle(germanium, 'For Sunday'))).toMatch(/^Started from Plain build: One silicon/);
    expect(buildNotes({ ...germanium, notes: '' })).toBe('');
  });

  it('stay marked on a copy that starts with its own title', () => {
    expect(buildNotes(copyOf(withTitle(germanium, 'For Sunday')))).toMatch(/^Started from Plain build: /);
  });
});

describe('a build file', () => {
  it.each<[string, Build]>([
    ['a starting build', plain],
    ['a swapped build', germanium],
    ['a build with a title of its own', withTitle(germanium, 'For Sunday')],
    ['a starting build with a title of its own', withTitle(plain, 'For Sunday')],
    ['a copy of one', swapped(copyOf(withTitle(germanium, 'For Sunday')), { C3: { value: '100n' } })],
    ['a build with a switch thrown', { ...plain, switches: { clipping: 'lifted' }, bypass: 'buffered' }],
  ])('brings back title, notes and start of %s', (_, build) => {
    expect(written(build)).toEqual(build);
  });

  it('keeps the given title apart from the swaps, and keeps the title before them', () => {
    const file = JSON.parse(serialiseBuild(germanium)) as Record<string, unknown>;
    expect(file['title']).toBe('Plain build');
    expect(file['start']).toEqual({ parts: { D1: '1N4148', D2: '1N4148', D3: '1N4148' } });
    expect(JSON.parse(serialiseBuild(plain))).not.toHaveProperty('start');
  });

  it('refuses a starting build that is not valid, with its place', () => {
    const file = (start: unknown) => JSON.stringify({ ...JSON.parse(serialiseBuild(plain)), start });
    expect(() => parseBuildFile(file({ parts: { D1: 'nonsense' } }))).toThrow(/nonsense/);
    expect(() => parseBuildFile(file({ parts: { X9: '1k' } }))).toThrow(/no part X9/);
    expect(() => parseBuildFile(file({ knobs: {} }))).toThrow(/"start\.knobs" is not known/);
    expect(() => parseBuildFile(file('Plain build'))).toThrow(/"start" is "Plain build"/);
  });

  it('of an older version, with a preset’s title and notes, is treated as started from that preset', () => {
    const { start: _, ...old } = JSON.parse(serialiseBuild(germanium)) as Record<string, unknown>;
    const opened = parseBuildFile(JSON.stringify(old));
    expect(buildTitle(opened)).toBe('Plain build');
    expect(buildTitle(withPresetStart(opened))).toBe('Plain build, D1 to D3 OA91');
    const own = withTitle(plain, 'For Sunday');
    expect(withPresetStart(own)).toBe(own);
    expect(withPresetStart(germanium)).toBe(germanium);
  });
});

describe('titles on the bench', () => {
  const state = freshState({ a: plain, b: presetBuild('soft-led') });

  it('distinguish A and B after a copy and a swap, and are undone together with it', () => {
    const store = new BenchStore(state);
    const titles = () => [store.state.builds.a, store.state.builds.b].map(buildTitle);
    store.act({ type: 'copy', from: 'a', to: 'b' });
    store.act({ type: 'setPart', slot: 'b', ref: 'D1', setting: OA91 });
    expect(titles()).toEqual(['Plain build', 'Plain build, D1 OA91']);
    store.act({ type: 'exchange' });
    expect(titles()).toEqual(['Plain build, D1 OA91', 'Plain build']);
    store.act({ type: 'rename', slot: 'a', title: 'For Sunday' });
    expect(titles()).toEqual(['For Sunday', 'Plain build']);
    store.act({ type: 'undo' });
    store.act({ type: 'undo' });
    store.act({ type: 'undo' });
    expect(titles()).toEqual(['Plain build', 'Plain build']);
  });

  it('are kept for the next visit, given titles and automatic ones', () => {
    stubStorage();
    const builds = { a: germanium, b: withTitle(germanium, 'For Sunday') };
    saveBench({ ...state, builds });
    expect(loadBench()).toMatchObject({ kind: 'whole', builds });
  });
});
