import { afterEach, describe, expect, it } from 'vitest';
import { canMeet, HAND_ACTION_IDS, HAND_ACTIONS } from '../../ui/hands/hand-actions.ts';
import {
  keyHolder,
  loadBindings,
  midiHolder,
  STANDARD_KEYS,
  saveBindings,
  withKey,
  withMidi,
  withoutKey,
} from '../../ui/hands/hand-bindings.ts';
import { whyNotKey } from '../../ui/hands/keys.ts';
import { keptTexts } from '../../ui/storage/kept-texts.ts';

const pedal = { kind: 'controller', channel: 1, number: 64 } as const;

afterEach(() => {
  keptTexts.keep('keys', undefined);
  keptTexts.keep('midi', undefined);
});

describe('the standard keys', () => {
  it('are one for each action that can be meant at a time, Listen and Mute among them', () => {
    for (const a of HAND_ACTION_IDS)
      for (const b of HAND_ACTION_IDS)
        if (a !== b && canMeet(a, b) && STANDARD_KEYS[a])
          expect(STANDARD_KEYS[a]?.key, `${a} and ${b}`).not.toBe(STANDARD_KEYS[b]?.key);
    expect(STANDARD_KEYS.listen?.key).toBe('m');
  });

  it('leave Enter, Tab and Escape to fields and dialogs, which are not learned either', () => {
    for (const key of ['Enter', 'Tab', 'Escape']) {
      expect(whyNotKey(key)).toMatch(/Use another key\.$/);
      expect(HAND_ACTION_IDS.some((id) => HAND_ACTIONS[id].key === key)).toBe(false);
    }
    expect(whyNotKey('F13')).toBeUndefined();
  });
});

describe('keys and controls that were learned', () => {
  it('do one thing each: who had them loses them', () => {
    const start = loadBindings();
    expect(keyHolder(start, 'match', 'e')).toBe('bypass');
    const { keys } = withKey(start, 'match', { key: 'e', press: 'momentary' });
    expect([keys.match?.key, keys.bypass]).toEqual(['e', undefined]);
    const first = withMidi(start, 'foot', pedal);
    expect(midiHolder(first, 'knob gain', pedal)).toBe('foot');
    expect(withMidi(first, 'knob gain', pedal).midi).toEqual({ 'knob gain': pedal });
  });

  it('may mean one thing in a blind test and another otherwise', () => {
    const start = loadBindings();
    expect(keyHolder(start, 'answer-first', '.')).toBe('answer-second');
    expect(keyHolder(withoutKey(start, 'answer-second'), 'answer-first', '.')).toBeUndefined();
    const bound = withMidi(withMidi(start, 'next', pedal), 'answer-second', pedal);
    expect(bound.midi).toEqual({ next: pedal, 'answer-second': pedal });
  });

  it('switch A and B with what earlier versions called "toggle": whether it can be held was not learned then', () => {
    keptTexts.keep('midi', JSON.stringify({ toggle: pedal }));
    expect(loadBindings().midi).toEqual({ switch: pedal });
  });

  it('come back on the next visit, with what was forgotten and the standard of the rest', () => {
    const own = withoutKey(withKey(loadBindings(), 'match', { key: 'F7', press: 'latching' }), 'probe');
    saveBindings(withMidi(own, 'part R4', pedal));
    const { keys, midi } = loadBindings();
    expect(keys.match).toEqual({ key: 'F7', press: 'latching' });
    expect([keys.probe, keys.undo, keys.bypass]).toEqual([undefined, undefined, STANDARD_KEYS.bypass]);
    expect(midi).toEqual({ 'part R4': pedal });
    saveBindings({ keys: STANDARD_KEYS, midi });
    expect(keptTexts.read('keys')).toBeUndefined();
  });

  for (const kept of [
    '{"foot":7,"next":{"key":"Enter","press":"momentary"},"nothing":{}}',
    '[1]',
    '"x"',
    '{',
  ])
    it(`are the standard where ${kept} was kept`, () => {
      keptTexts.keep('keys', kept);
      keptTexts.keep('midi', kept);
      const { keys, midi } = loadBindings();
      expect(Object.values(keys).every(({ key }) => whyNotKey(key) === undefined)).toBe(true);
      expect([keys.bypass, midi]).toEqual([STANDARD_KEYS.bypass, {}]);
    });
});
