import { describe, expect, it } from 'vitest';
import { ClipCount } from '../../ui/audio/clip-count.ts';

describe('clips of the input', () => {
  it('are counted from the moment when they were cleared', () => {
    const clips = new ClipCount();
    expect([clips.since(0), clips.since(3)]).toEqual([0, 3]);
    clips.clear();
    expect([clips.since(3), clips.since(5)]).toEqual([0, 2]);
    clips.clear();
    expect(clips.since(6)).toBe(1);
  });

  it('are counted from zero where the audio thread starts again', () => {
    const clips = new ClipCount();
    clips.since(5);
    clips.clear();
    expect([clips.since(0), clips.since(2), clips.since(7)]).toEqual([0, 2, 7]);
  });
});
