import { describe, expect, it } from 'vitest';
import { isToldOnCard, slotsOfPart } from '../../ui/state/slots-of-part.ts';
import { presetBuild } from '../preset-build.ts';

const soft = presetBuild('soft-plain');
const clean = presetBuild('clean-plain');

describe('the builds in which a part is shown', () => {
  it('are both where they are of one circuit', () => {
    expect(slotsOfPart({ builds: { a: soft, b: soft }, heard: 'a' }, 'R6')).toEqual(['a', 'b']);
  });

  it('are only the one that is heard where they are of two circuits, though both have a part of this name', () => {
    const builds = { a: soft, b: clean };
    expect([soft, clean].every(({ parts }) => 'C1' in parts)).toBe(true);
    expect(slotsOfPart({ builds, heard: 'a' }, 'C1')).toEqual(['a']);
    expect(slotsOfPart({ builds, heard: 'b' }, 'C1')).toEqual(['b']);
  });

  it('are none where the heard build does not have it', () => {
    expect(slotsOfPart({ builds: { a: soft, b: soft }, heard: 'a' }, 'X99')).toEqual([]);
  });
});

describe('what was refused', () => {
  const state = { builds: { a: soft, b: clean }, heard: 'a', selected: 'C1' } as const;

  it('is told on the card only about a part and build that the card shows', () => {
    const refusal = { ref: 'C1', message: 'C1: "x" is not a value.' };
    expect(isToldOnCard({ ...state, refusal: { ...refusal, slot: 'a' } })).toBe(true);
    expect(isToldOnCard({ ...state, refusal: { ...refusal, slot: undefined } })).toBe(true);
    expect(isToldOnCard({ ...state, refusal: { ...refusal, slot: 'b' } })).toBe(false);
    expect(isToldOnCard({ ...state, refusal: { ...refusal, ref: 'V1', slot: 'a' } })).toBe(false);
  });
});
