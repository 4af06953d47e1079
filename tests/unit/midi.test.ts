import { describe, expect, it } from 'vitest';
import { controlText, isPress, readMidi } from '../../ui/midi/midi-messages.ts';

// Status bytes: MIDI 1.0 Detailed Specification, table of channel voice messages (8n note off, 9n note on, Bn control
// change, Cn programme change), from memory.
describe('a MIDI message', () => {
  it('is a note on channel 1 to 16', () => {
    expect(readMidi(Uint8Array.of(0x90, 60, 127))).toEqual({
      control: { kind: 'note', channel: 1, number: 60 },
      amount: 1,
    });
    expect(readMidi(Uint8Array.of(0x9f, 60, 0))?.control.channel).toBe(16);
  });

  it('is a press for note on, but not for note off or for note on with velocity 0, which means the same', () => {
    expect(isPress(readMidi(Uint8Array.of(0x90, 60, 1))!)).toBe(true);
    expect(isPress(readMidi(Uint8Array.of(0x80, 60, 64))!)).toBe(false);
    expect(isPress(readMidi(Uint8Array.of(0x90, 60, 0))!)).toBe(false);
  });

  it('is a press for controller values from 64 up', () => {
    expect(isPress(readMidi(Uint8Array.of(0xb0, 64, 63))!)).toBe(false);
    expect(isPress(readMidi(Uint8Array.of(0xb0, 64, 64))!)).toBe(true);
  });

  it('is a press for every programme change, which has one data byte', () => {
    expect(isPress(readMidi(Uint8Array.of(0xc2, 5))!)).toBe(true);
  });

  it('is ignored if it is channel mode, clock, pitch bend or empty', () => {
    for (const data of [[0xb0, 123, 0], [0xf8], [0xe0, 0, 64], []])
      expect(readMidi(Uint8Array.from(data))).toBeUndefined();
  });
});

it('names a control in words', () => {
  expect(controlText({ kind: 'controller', channel: 1, number: 64 })).toBe('MIDI controller 64, channel 1');
});
