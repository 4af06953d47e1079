import { readFileSync } from 'node:fs';
import { beforeEach, describe, expect, it } from 'vitest';
import { serialiseBuild } from '../../engine/builds/build-file.ts';
import { LONE } from '../../engine/builds/chain.ts';
import { EarDose } from '../../ui/ear/ear-exposure.ts';
import { loadBindings } from '../../ui/hands/hand-bindings.ts';
import type { BenchState } from '../../ui/state/bench-state.ts';
import { loadBlindTests } from '../../ui/state/kept-blind-tests.ts';
import { soundAhead, soundChange } from '../../ui/state/matched-sound.ts';
import { loadBench, saveBench } from '../../ui/state/saved-bench.ts';
import { freshState, startingBench } from '../../ui/state/starting-state.ts';
import { readTheme } from '../../ui/state/theme.ts';
import { presetBuild } from '../preset-build.ts';
import { type FakeStorage, stubStorage } from './kept-storage.ts';

const KEY = 'cliplead-bench';
const plain = presetBuild('soft-plain');
const led = presetBuild('soft-led');
const start = freshState({ a: plain, b: led });

let storage: FakeStorage;
beforeEach(() => {
  storage = stubStorage();
});

/** The bench after the page is loaded again. */
function reloaded(): BenchState {
  return startingBench('guitar-fifths').state;
}

/** Stores the starting bench with some changed fields. */
function keepWith(fields: Readonly<Record<string, unknown>>): void {
  saveBench(start);
  const kept = JSON.parse(storage.texts.get(KEY) ?? '{}');
  storage.texts.set(KEY, JSON.stringify({ ...kept, ...fields }));
}

const firstVisit = startingBench('guitar-fifths').state;

describe('the bench from one visit to the next', () => {
  it('begins with one difference between A and B on a first visit: the clipping diodes', () => {
    const { a, b } = firstVisit.builds;
    expect(a).toEqual(plain);
    expect(b).toEqual({
      ...a,
      parts: {
        ...a.parts,
        ...Object.fromEntries(['D1', 'D2'].map((ref) => [ref, { type: 'LED-red' }])),
      },
    });
    expect(firstVisit.match).toMatchObject({ isAutomatic: true, db: { a: 0, b: 0 } });
  });

  it('is restored with its builds and its settings, muted', () => {
    const left: BenchState = {
      ...start,
      calibration: { volts: 3.1, isMeasured: true },
      temperatureC: -3,
      rateChoice: 16,
      series: 'E24',
      isLinked: false,
      source: { kind: 'live', deviceId: 'scarlet', channel: 1 },
      isBypassed: true,
      outputDb: -30,
      hasStandIn: false,
      hearsNoise: true,
      guitar: { isOn: true, instrument: { pickup: 'humbucker', volume: 0.5, tone: 0.25, cableMetres: 3 } },
      after: { isOn: true, load: { input: 'pedal', cableMetres: 2.5 } },
      match: { ...start.match, db: { a: -4.5, b: 0 }, isFollowing: true },
    };
    saveBench({ ...left, isListening: true, match: { ...left.match, isMeasuring: true } });
    expect(reloaded()).toEqual(left);
  });

  it('has a valid level match where it was made for the present sound, and an outdated one otherwise', () => {
    const db = { a: -4.5, b: 0 };
    const matched: BenchState = { ...start, source: { kind: 'string' } };
    saveBench({ ...matched, match: { ...start.match, db, sound: soundAhead(matched) } });
    const fresh = reloaded();
    expect(fresh.match).toEqual({ ...start.match, db, sound: soundAhead(fresh) });
    const warmer = { ...matched, temperatureC: 40 };
    saveBench({ ...warmer, match: { ...start.match, db, sound: soundAhead(matched) } });
    expect(reloaded().match).toEqual({ ...start.match, db });
  });

  it('has an outdated level match where plucked notes stood in, where levels could not be made equal, and for a candidate', () => {
    const matched: BenchState = { ...start, source: { kind: 'string' } };
    const match = { ...start.match, db: { a: -4.5, b: 0 }, sound: soundAhead(matched) };
    const run = {
      refs: ['D1'],
      pedal: 0,
      list: [],
      at: 0,
      isHidden: true,
      before: plain,
      placeBefore: LONE,
      refused: [],
    };
    const outdated: readonly BenchState[] = [
      { ...matched, match: { ...match, isByNotes: true } },
      { ...matched, match: { ...match, problem: 'B is silent.' } },
      { ...matched, match, ear: { ...start.ear, candidates: run } },
    ];
    for (const state of outdated) {
      saveBench(state);
      expect(reloaded().match.sound).toBeUndefined();
    }
    saveBench({ ...matched, match });
    expect(reloaded().match.sound).toBeDefined();
  });

  it('has a valid level match again once its riff and its impulse response have been read, and not before', async () => {
    const db = { a: -4.5, b: 0 };
    const own = { name: 'cabinet', samples: Float64Array.of(1), sampleRateHz: 48_000 };
    const riff = { id: 'r', name: '', sampleRateHz: 48_000, samples: new Float32Array(48), clips: 0 };
    const ear = { ...start.ear, riffs: [{ ...riff, startFrame: 3, endFrame: 40 }] };
    const source = { kind: 'riff', id: 'r' } as const;
    const matched: BenchState = { ...start, source, ear, hasStandIn: true, speaker: own };
    saveBench({ ...matched, match: { ...start.match, db, sound: soundAhead(matched) } });
    const fresh = reloaded();
    const changeIn = (state: BenchState) => soundChange(state.match.sound!, soundAhead(state));
    expect(changeIn(fresh)).toBe('the riff has other ends');
    expect(changeIn({ ...fresh, ear })).toBe('the speaker has changed');
    // The response cannot be read: the built-in filter plays, for which nothing was matched.
    expect(changeIn({ ...fresh, ear, speaker: undefined })).toBe('the speaker has changed');
    const sound = { ...fresh.match.sound!, speaker: own };
    const read = { ...fresh, ear, speaker: own, match: { ...fresh.match, sound } };
    expect(changeIn(read)).toBeUndefined();
    const trimmed = { ...read, ear: { ...ear, riffs: [{ ...ear.riffs[0]!, endFrame: 30 }] } };
    expect(changeIn(trimmed)).toBe('the riff has other ends');
  });

  it('starts with the first recording where a file played, and the level match of the file does not hold', () => {
    const filed: BenchState = { ...start, source: { kind: 'file', file: new File([], 'riff.wav') } };
    saveBench({ ...filed, match: { ...start.match, sound: soundAhead(filed) } });
    expect(reloaded().source).toEqual({ kind: 'recording', id: 'guitar-fifths' });
    expect(reloaded().match.sound).toBeUndefined();
  });

  it('is never louder than before: settings out of range are those of a first visit', () => {
    for (const outputDb of [7, 300, -61, Number.NaN, '0', null, 1e308]) {
      keepWith({ outputDb });
      expect(reloaded().outputDb, String(outputDb)).toBe(start.outputDb);
    }
    // An outdated level match only makes a build quieter, and no match makes it much louder.
    keepWith({ match: { db: { a: 6, b: -3 }, isFresh: false, isFollowing: false } });
    expect(reloaded().match.db).toEqual({ a: 0, b: -3 });
    for (const db of [{ a: 13, b: 0 }, { a: -1 }, { a: '0', b: 0 }, [0, 0], null]) {
      keepWith({ match: { db, isFresh: true, isFollowing: false } });
      expect(reloaded().match).toEqual(start.match);
    }
  });

  it('is at 27 degrees where an earlier visit stored no temperature, and in range where the stored one is out of range', () => {
    keepWith({ temperatureC: undefined });
    expect(reloaded().temperatureC).toBe(27);
    keepWith({ temperatureC: 400 });
    expect(reloaded().temperatureC).toBe(60);
  });

  it('ignores settings of an unknown kind', () => {
    keepWith({
      series: 'E192',
      source: { kind: 'satellite' },
      guitar: { isOn: true, instrument: { pickup: 'piezo', volume: 1, tone: 1, cableMetres: 6 } },
      after: { isOn: true, load: { input: 'loudspeaker', cableMetres: 6 } },
      rateChoice: 1000,
      isBypassed: 'yes',
      calibration: { volts: -1 },
      isLinked: 0,
    });
    expect(reloaded()).toEqual({ ...start, source: { kind: 'recording', id: 'guitar-fifths' } });
  });

  it('is never restored in part: two starting builds open, and the stored text is offered unchanged', () => {
    const newer = serialiseBuild(led).replace('"version": 2', '"version": 99');
    keepWith({ b: newer });
    const kept = storage.texts.get(KEY);
    const state = reloaded();
    expect(state.builds).toEqual(firstVisit.builds);
    expect(state.setAside?.message).toContain('could not be read (This build file is of version 99');
    expect(state.setAside?.files.map(({ text }) => text)).toEqual([kept]);
    for (const text of ['not JSON', '[]', 'null', '7', '{"a":1}']) {
      storage.texts.set(KEY, text);
      expect(loadBench()).toMatchObject({ kind: 'broken', text });
    }
  });

  it('works where the browser stores nothing', () => {
    storage.trouble = new DOMException('full', 'QuotaExceededError');
    expect(() => saveBench(start)).not.toThrow();
    expect(storage.texts.size).toBe(0);
    // Once there is room, it is stored with the next change.
    storage.trouble = undefined;
    saveBench(start);
    expect(storage.texts.has(KEY)).toBe(true);
  });
});

/**
 * Everything that the bench of October 2026 stored, as written by it; or what another version stored, by its file's
 * name.
 */
function earlierState(name = 'saved-state'): Record<string, string> {
  const file = new URL(`../fixtures/${name}.json`, import.meta.url);
  return JSON.parse(readFileSync(file, 'utf8'));
}

describe('what an earlier version kept', () => {
  it('is restored: builds, calibrations, blind tests, foot switch, headphones and colours', () => {
    stubStorage(earlierState());
    const state = reloaded();
    expect(state.refusal).toBeUndefined();
    expect(state.setAside).toBeUndefined();
    const { start: _, ...led } = presetBuild('soft-led-revision-1');
    const knobs = { ...led.knobs, gain: 0.73 };
    expect(state.builds.a).toMatchObject({ ...led, title: 'Evening build', knobs, aliases: { R4: 'R7' } });
    expect(state.builds.b).toEqual(presetBuild('clean-plain-revision-1'));
    expect(state).toMatchObject({
      temperatureC: 35,
      rateChoice: 16,
      calibration: { volts: 3.1, isMeasured: true },
      calibrations: [{ position: "gain at 10 o'clock", volts: 3.1 }],
    });
    // What was not stored then is as on a first visit.
    const { outputDb, guitar, match, series } = start;
    expect(state).toMatchObject({ outputDb, guitar, match, series, isBypassed: false });
    expect(loadBlindTests().map(({ finishedAt }) => finishedAt)).toEqual(['2026-05-03T19:20:00.000Z']);
    expect(loadBindings().midi).toEqual({ switch: { kind: 'note', channel: 1, number: 60 } });
    expect(new EarDose().calibration).toEqual({
      sensitivity: { per: 'milliwatt', decibels: 98, impedanceOhms: 80 },
      toneV: 0.12,
    });
    expect(readTheme()).toBe('dark');
  });

  it('is restored where it was a pedal that sends programmes and knobs that turn, as the first bench stored them', () => {
    const control = { kind: 'program', channel: 16, number: 0 };
    const knob = { kind: 'controller', channel: 2, number: 119 };
    const text = JSON.stringify({ toggle: control, 'knob gain': knob });
    stubStorage({ 'cliplead-midi': text });
    expect(loadBindings().midi).toEqual({ switch: control, 'knob gain': knob });
    // Both circuits of the bench still have a knob of this name.
    for (const name of ['soft-plain', 'clean-plain'])
      expect(presetBuild(name).circuit.knobs.map((each) => each.name)).toContain('gain');
  });

  it('is restored where it was two builds of version 1 and a calibration, as the first bench stored them', () => {
    stubStorage(earlierState('saved-state-first'));
    const state = reloaded();
    expect([state.refusal, state.setAside]).toEqual([undefined, undefined]);
    expect(state.builds.a).toMatchObject({
      title: 'Evening build',
      circuit: { id: 'soft-clip', revision: 1 },
    });
    expect(state.calibration).toEqual({ volts: 2.5, isMeasured: true });
    expect(state.temperatureC).toBe(start.temperatureC);
  });

  it('is restored where a build contains its circuit, in version 2', () => {
    stubStorage(earlierState('saved-state-embedded'));
    const state = reloaded();
    expect([state.refusal, state.setAside]).toEqual([undefined, undefined]);
    const { circuit, parts, aliases } = state.builds.a;
    // It was written before circuits had groups, and when figures were those of two parts alone.
    const { groups: _, figures, ...others } = presetBuild('soft-plain-revision-1').circuit;
    expect(circuit).toMatchObject({ ...others, title: 'Soft clip of my own' });
    expect(circuit.figures).toHaveLength(figures.length);
    expect(circuit.figures[0]).toEqual({
      name: 'load on the pickup',
      formula: 'parallel resistance',
      parts: ['R1', 'R2'],
      resistors: ['R1', 'R2'],
    });
    expect([parts['D1'], aliases]).toEqual([{ type: 'OA91' }, { R4: 'R7' }]);
    expect(state).toMatchObject({
      temperatureC: 35,
      series: 'E24',
      isLinked: false,
      isBypassed: true,
      outputDb: -30,
      hasStandIn: false,
      hearsNoise: true,
      source: { kind: 'string' },
      rateChoice: 8,
      guitar: { isOn: true, instrument: { pickup: 'humbucker', volume: 0.5, tone: 0.25, cableMetres: 3 } },
    });
  });
});
