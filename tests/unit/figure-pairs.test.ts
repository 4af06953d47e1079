import { describe, expect, it } from 'vitest';
import type { Build } from '../../engine/builds/build.ts';
import { figureBeside } from '../../engine/builds/figure-pairs.ts';
import { figuresOf } from '../../engine/builds/part-figures.ts';
import { presetBuild } from '../preset-build.ts';

const soft = presetBuild('soft-plain');
const clean = presetBuild('clean-plain');
const three = presetBuild('three-plain');
const jfet = presetBuild('jfet-plain');

/** What another part has for each figure of a part, by name. */
function beside(
  build: Build,
  ref: string,
  other: Build,
  otherRef: string,
): Record<string, string | undefined> {
  const own = { ref, figures: figuresOf(build, ref) };
  const their = { ref: otherRef, figures: figuresOf(other, otherRef) };
  return Object.fromEntries(
    own.figures.map((figure) => [figure.name, figureBeside(figure, own, their)?.name]),
  );
}

// The figures of one kind were read from the documents of the circuits by hand.
describe('figures of parts with the same job in two circuits', () => {
  it('stand beside each other by name and unit', () => {
    expect(beside(soft, 'R4', clean, 'R4')).toEqual({
      'highest gain': 'highest gain',
      'lowest gain': 'lowest gain',
      'bass corner of the gain stage': 'bass corner of the gain stage',
    });
  });

  it('stand beside each other where the documents name them differently, if each part decides only one of the kind', () => {
    expect(beside(soft, 'C1', jfet, 'C1')).toEqual({ 'bass corner of the input': expect.any(String) });
    expect(beside(soft, 'C2', three, 'C2')).toEqual({
      'bass corner into the gain stage': expect.any(String),
    });
  });

  it('stand alone where the other part has none of the kind, or only one that it does not decide', () => {
    // The gain of the JFET stage is by another formula; its source resistor does not decide a gain with an op-amp.
    expect(beside(soft, 'R4', jfet, 'C1')).toEqual({
      'highest gain': undefined,
      'lowest gain': undefined,
      'bass corner of the gain stage': undefined,
    });
    expect(Object.values(beside(soft, 'C3', clean, 'R4')).filter((name) => name)).toEqual([
      'bass corner of the gain stage',
    ]);
  });
});
