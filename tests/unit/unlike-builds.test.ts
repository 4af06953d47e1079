import { expect, it } from 'vitest';
import { unlikeText } from '../../engine/builds/swaps.ts';
import { presetBuild } from '../preset-build.ts';

it('tells two revisions of a circuit from two circuits', () => {
  const soft = presetBuild('soft-plain');
  expect(unlikeText(soft, presetBuild('soft-led'))).toBeUndefined();
  expect(unlikeText(presetBuild('soft-plain-revision-1'), soft)).toBe(
    'Two revisions of Soft clip: bring both to revision 3 to compare their parts.',
  );
  expect(unlikeText(soft, presetBuild('clean-plain'))).toBe(
    'Two circuits: Soft clip and Clean blend share no parts.',
  );
});
