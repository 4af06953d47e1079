import path from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { documentProblems, guideProblems, MOST_GUIDE_WORDS } from '../document-check.mjs';

const PROJECT = path.resolve(path.dirname(fileURLToPath(import.meta.url)), '../..');
const problemsOf = (text: string, place = 'DEVELOPERS.md') => documentProblems(text, place, PROJECT);

describe('the check of the documents', () => {
  it('accepts paths and scripts that exist', () => {
    const text =
      'See `engine/devices/diode.ts`, [its notes](engine/devices/NOTES.md); `npm run check:layers`.';
    expect(problemsOf(text)).toEqual([]);
  });

  it('accepts a file beside the document, or one in a folder beside it', () => {
    expect(problemsOf('`substeps.ts`, `devices/opamp.ts`', 'engine/solver/NOTES.md')).toEqual([]);
  });

  it('refuses a file, a folder and a link that do not exist', () => {
    const text = 'See `engine/devices/triode.ts`, `engine/valves/` and [more](MORE.md).';
    expect(problemsOf(text)).toEqual([
      'DEVELOPERS.md names engine/devices/triode.ts, which does not exist.',
      'DEVELOPERS.md names engine/valves/, which does not exist.',
      'DEVELOPERS.md names MORE.md, which does not exist.',
    ]);
  });

  it('refuses a script that does not exist, in a block of code too', () => {
    expect(problemsOf('```\nnpm run paint\n```')).toEqual([
      'DEVELOPERS.md names npm run paint, which is no script.',
    ]);
  });

  it('refuses a guide of more than 1500 words', () => {
    const words = (count: number) => 'word '.repeat(count);
    expect(guideProblems(words(MOST_GUIDE_WORDS))).toEqual([]);
    expect(guideProblems(words(1501))).toEqual([
      'DEVELOPERS.md has 1501 words; 1500 are the most. Move details to a NOTES.md.',
    ]);
  });
});
