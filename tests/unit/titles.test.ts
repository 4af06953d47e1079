import { describe, expect, it } from 'vitest';
import { type Excerpt, excerptText } from '../../engine/analysis/excerpt.ts';
import { NOMINAL_TEMPERATURE_K } from '../../engine/devices/physics.ts';
import { escaped, wellFormed } from '../../ui/ear/picture-text.ts';
import { fileName } from '../../ui/file-name.ts';
import { presetBuild } from '../preset-build.ts';
import { HOSTILE_TEXTS } from '../reliability/hostile-texts.ts';

const plain = presetBuild('soft-plain');
const excerpt: Excerpt = {
  samples: new Float64Array(0),
  passages: [
    { slot: 'a', startSeconds: 0, endSeconds: 1 },
    { slot: 'b', startSeconds: 1, endSeconds: 2 },
  ],
  matchDb: { a: 0, b: 0 },
  gainDb: 0,
  clipping: [],
  factor: 16,
  errors: [],
  warnings: [],
};
const TITLES = HOSTILE_TEXTS.map((text, index) => [index, text] as const);

/** XML 1.0 section 2.2, Char. */
function isXmlCharacter(code: number): boolean {
  return (
    code === 9 ||
    code === 10 ||
    code === 13 ||
    (code >= 0x20 && code <= 0xd7ff) ||
    (code >= 0xe000 && code <= 0xfffd) ||
    code >= 0x10000
  );
}

describe('any title at all', () => {
  it.each(TITLES)('keeps the lines of an excerpt’s text: %i', (_, title) => {
    const b = {
      ...plain,
      title,
      aliases: { D1: title.slice(0, 8) },
      parts: { ...plain.parts, D1: { type: 'LED-red' } },
    };
    const a = { ...plain, aliases: b.aliases };
    const usual = excerptText(
      {
        a: plain,
        b: { ...b, title: 'B' },
        hasStandIn: false,
        around: {},
        temperatureK: NOMINAL_TEMPERATURE_K,
      },
      excerpt,
    );
    const text = excerptText(
      { a, b, hasStandIn: false, around: {}, temperatureK: NOMINAL_TEMPERATURE_K },
      excerpt,
    );
    expect(text.split('\n')).toHaveLength(usual.split('\n').length);
    expect(text).not.toMatch(/[^\P{Cc}\n]|\p{Cs}|\p{Zl}|\p{Zp}/u);
    expect(Math.max(...text.split('\n').map((line) => line.length))).toBeLessThan(130);
  });

  it.each(TITLES)('makes a picture with only characters that a document may contain: %i', (_, title) => {
    const document = wellFormed(`<text>${escaped(title)}</text>`);
    expect([...document].every((letter) => isXmlCharacter(letter.codePointAt(0)!))).toBe(true);
    // the same function as in still-picture.ts, which throws for half of a surrogate pair
    expect(() => encodeURIComponent(document)).not.toThrow();
    // section 2.4: none of these may be in a text
    expect(document.slice('<text>'.length, -'</text>'.length)).not.toMatch(/[<>]|&(?!amp;|lt;|gt;)/);
  });

  it.each(TITLES)('makes a file name that systems accept: %i', (_, title) => {
    const name = fileName(title, 'build');
    expect(name).toMatch(/^[\p{L}\p{N}-]+$/u);
    // 255 bytes on most disks, less an ending and a number for a second file of that name
    expect(Buffer.byteLength(name)).toBeLessThanOrEqual(230);
  });

  it('can be read in the text that is written', () => {
    expect(wellFormed(escaped('R & B <fuzz> ]]> é 🎸'))).toBe('R &amp; B &lt;fuzz&gt; ]]&gt; é 🎸');
    expect(fileName('Ödipus & 2 Füße', 'build')).toBe('Ödipus-2-Füße');
  });
});
