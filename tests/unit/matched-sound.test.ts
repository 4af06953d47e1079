import { describe, expect, it } from 'vitest';
import { whyNoBlindTest } from '../../ui/ear/blind-desk.ts';
import type { Action, BenchState } from '../../ui/state/bench-state.ts';
import type { Riff } from '../../ui/state/ear-state.ts';
import { soundAhead, soundChange } from '../../ui/state/matched-sound.ts';
import { reduce } from '../../ui/state/reduce.ts';
import { freshState } from '../../ui/state/starting-state.ts';
import { presetBuild } from '../preset-build.ts';

const RIFF: Riff = {
  id: '1',
  name: 'Riff 1',
  sampleRateHz: 48_000,
  samples: new Float32Array(48_000),
  startFrame: 0,
  endFrame: 47_000,
  clips: 0,
};
const FILE = new File(['one'], 'take.wav');

/** A riff that plays, with matched levels. */
function matched(change: Partial<BenchState> = {}): BenchState {
  const fresh = freshState({ a: presetBuild('soft-plain'), b: presetBuild('soft-led') });
  const state: BenchState = {
    ...fresh,
    isListening: true,
    source: { kind: 'riff', id: '1' },
    ear: { ...fresh.ear, riffs: [RIFF] },
    ...change,
  };
  const match = { ...state.match, db: { a: 0, b: -3 }, isAutomatic: false };
  return { ...state, match: { ...match, sound: soundAhead(state) } };
}

const changed = (state: BenchState, ...actions: readonly Action[]) => actions.reduce(reduce, state);
const changeOf = (state: BenchState) => soundChange(state.match.sound!, soundAhead(state));

const d1 = (type: string): Action => ({ type: 'setPart', slot: 'a', ref: 'D1', setting: { type } });
const turned = (rotation: number): Action => ({
  type: 'turnKnob',
  slot: 'b',
  name: 'gain',
  rotation,
  isAlone: true,
});
const live = { kind: 'live', deviceId: 'x', channel: 0 } as const;

describe('a level match', () => {
  const { guitar, after } = matched();
  const changes: readonly (readonly [string, Action, RegExp])[] = [
    ['a swapped part', d1('LED-red'), /build/],
    ['a turned knob', turned(0.9), /build/],
    ['builds that changed sides', { type: 'exchange' }, /build/],
    ['another input', { type: 'source', source: { kind: 'string' } }, /input/],
    ['another end of the riff', { type: 'ear', change: { riffs: [{ ...RIFF, endFrame: 40_000 }] } }, /riff/],
    ['pickup and cable', { type: 'guitar', guitar: { ...guitar, isOn: true } }, /pickup/],
    ['a cable after the pedal', { type: 'after', after: { ...after, isOn: true } }, /follows/],
    ['another temperature', { type: 'temperature', celsius: 50 }, /temperature/],
    ['the speaker filter switched off', { type: 'standIn', hasStandIn: false }, /speaker/],
    [
      'a speaker of one’s own',
      { type: 'speaker', speaker: { name: 'x', samples: new Float64Array(8), sampleRateHz: 48_000 } },
      /speaker/,
    ],
    ['the builds’ own hiss', { type: 'hearNoise', isHeard: true }, /hiss/],
  ];
  for (const [what, action, words] of changes) {
    it(`does not hold after ${what}, and no blind test begins with it`, () => {
      const state = changed(matched(), action);
      expect(changeOf(state)).toMatch(words);
      expect(whyNoBlindTest(matched(), true)).toBeUndefined();
      expect(whyNoBlindTest(matched(), false)).toMatch(/the error of the solver is being estimated/);
      expect(whyNoBlindTest(state, true)).toMatch(/^Match levels again: /);
    });
  }

  it('depends on the full scale of the interface only where the sound comes from the interface', () => {
    const louder: Action = { type: 'calibrate', calibration: { volts: 1, isMeasured: true } };
    expect(changeOf(changed(matched(), louder))).toBeUndefined();
    expect(changeOf(changed(matched({ source: live }), louder))).toMatch(/interface clips/);
  });

  it('distinguishes the files and the channels of the input', () => {
    const file = matched({ source: { kind: 'file', file: FILE } });
    const same = { type: 'source', source: { kind: 'file', file: FILE } } as const;
    const other = { type: 'source', source: { kind: 'file', file: new File(['two'], 'take.wav') } } as const;
    expect(changeOf(changed(file, same))).toBeUndefined();
    expect(changeOf(changed(file, other))).toMatch(/input/);
    const channel = { type: 'source', source: { ...live, channel: 1 } } as const;
    expect(changeOf(changed(matched({ source: live }), channel))).toMatch(/input/);
  });

  it('holds again when the change is undone', () => {
    const before = matched();
    const { gain } = before.builds.b.knobs;
    expect(changeOf(changed(before, d1('LED-red'), d1('1N4148')))).toBeUndefined();
    expect(changeOf(changed(before, turned(0.9), turned(gain!)))).toBeUndefined();
  });

  it('does not depend on titles, output, probe, or which of A and B plays', () => {
    const heard: readonly Action[] = [
      { type: 'rename', slot: 'a', title: 'Mine' },
      { type: 'output', db: -20 },
      { type: 'probe', net: 'clipped' },
      { type: 'hear', slot: 'b' },
      { type: 'ear', change: { riffs: [{ ...RIFF, name: 'Another name' }] } },
    ];
    expect(changeOf(changed(matched(), ...heard))).toBeUndefined();
  });

  it('is made for the pedals: it still holds while bypassed, but a match made while bypassed does not', () => {
    const on: Action = { type: 'bypass', isBypassed: true };
    const off: Action = { type: 'bypass', isBypassed: false };
    expect(changeOf(changed(matched(), on))).toBeUndefined();
    expect(changeOf(changed(matched({ isBypassed: true }), off))).toMatch(/bypass/);
    expect(whyNoBlindTest(changed(matched({ isBypassed: true }), off), true)).toMatch(/bypass/);
  });

  it('must be complete: no blind test begins while levels are being measured', () => {
    const state = matched();
    const measuring: Action = { type: 'match', match: { ...state.match, isMeasuring: true } };
    expect(whyNoBlindTest(changed(state, measuring), true)).toMatch(/Wait/);
  });
});
