import { describe, expect, it } from 'vitest';
import { candidatesFor } from '../../engine/analysis/rank-candidates.ts';
import { BuildError } from '../../engine/builds/build-error.ts';
import { parseBuildFile, serialiseBuild } from '../../engine/builds/build-file.ts';
import { parseSettingText } from '../../engine/builds/part-setting.ts';
import {
  inLine,
  MOST_MESSAGE_CHARACTERS,
  oneLine,
  printable,
  quoted,
  sentencesInLine,
} from '../../engine/input/shown-text.ts';
import { findDiode } from '../../engine/parts/catalogue.ts';
import { parseValue } from '../../engine/units/value-code.ts';
import { presetBuild } from '../preset-build.ts';
import { growsInProportion } from '../reliability/growth.ts';
import { HOSTILE_TEXTS } from '../reliability/hostile-texts.ts';
import { refusalFault } from '../reliability/refusal.ts';

const plain = presetBuild('soft-plain');
const R4 = { ref: 'R4', kind: 'resistor' } as const;

function messageOf(read: () => unknown): string {
  try {
    read();
  } catch (error) {
    return (error as Error).message;
  }
  return '';
}

describe('a text from outside', () => {
  it('shows every character that would hide or change its neighbours', () => {
    // Unicode: U+001B escape, U+202E right-to-left override, U+D800 half of a pair
    expect(printable('\u001b[31m\u202e\ud800')).toBe('\\u001b[31m\\u202e\\ud800');
    expect(printable('4µ7 Ω 🎸 é')).toBe('4µ7 Ω 🎸 é');
  });

  it('is cut where it is long, never inside a surrogate pair', () => {
    expect(quoted('x'.repeat(100_000))).toHaveLength(42);
    expect(inLine('🎸'.repeat(50), 10)).toBe(`${'🎸'.repeat(4)}…`);
  });

  it('makes a message of one line', () => {
    expect(oneLine('one\r\n  two')).toBe('one two');
    expect(oneLine('x'.repeat(5000))).toHaveLength(MOST_MESSAGE_CHARACTERS);
  });

  it('leaves room for the first of many sentences, and for their number', () => {
    expect(sentencesInLine(['R4 is wrong.', 'C3 is wrong.'])).toBe('R4 is wrong. C3 is wrong.');
    const many = Array.from({ length: 500 }, (_, n) => `Part ${n} of this build has no such value.`);
    const line = sentencesInLine(many);
    expect(line).toMatch(/^Part 0 of this build has no such value\. .*And 49\d more problems\.$/);
    expect(line.length).toBeLessThanOrEqual(MOST_MESSAGE_CHARACTERS);
    expect(sentencesInLine(['x'.repeat(500), 'y'])).toMatch(/… And 1 more problem\.$/);
  });
});

describe('a refusal', () => {
  it.each(HOSTILE_TEXTS.map((text, index) => [index, text] as const))(
    'is one short line, whatever the value is: %i',
    (_, text) => {
      for (const read of [
        () => parseSettingText(R4, text, { value: '4k7' }),
        () => parseSettingText({ ref: 'D1', kind: 'diode' }, text, { type: '1N4148' }),
        () => parseBuildFile(serialiseBuild({ ...plain, parts: { ...plain.parts, R4: { value: text } } })),
        () => parseBuildFile(JSON.stringify({ format: text })),
        () => parseBuildFile(text),
      ]) {
        const message = messageOf(read);
        if (message !== '') expect(refusalFault(message)).toBeUndefined();
      }
    },
  );

  it('of a build file names only as many problems as fit, and keeps all of them', () => {
    const parts = Object.fromEntries(Array.from({ length: 3000 }, (_, n) => [`X${n}`, '1k']));
    try {
      parseBuildFile(JSON.stringify({ format: 'cliplead-build', version: 1, circuit: 'soft-clip', parts }));
      expect.unreachable();
    } catch (error) {
      expect((error as BuildError).problems).toHaveLength(3000);
      expect(refusalFault((error as BuildError).message)).toBeUndefined();
    }
  });

  it('of deeply nested brackets comes before the text is parsed', () => {
    const deep = `{"format":"cliplead-build","version":1,"circuit":"soft-clip","parts":${'['.repeat(5000)}${']'.repeat(5000)}}`;
    expect(() => parseBuildFile(deep)).toThrow(/more than 16 brackets/);
    // brackets inside a text value do not count
    const notes = `${'['.repeat(50)} \\" ${'{'.repeat(50)}`;
    expect(parseBuildFile(serialiseBuild({ ...plain, notes })).notes).toBe(notes);
  });

  it('also covers input that is not text', () => {
    for (const kept of [undefined, null, 5, {}, []])
      expect(() => parseBuildFile(kept as unknown as string)).toThrow(BuildError);
  });
});

describe('the time that a text takes', () => {
  it.each([
    ['a value of digits', (n: number) => refused(() => parseValue(`${'1'.repeat(n)}x1`, 'ohms')), 5000],
    ['a value of blanks', (n: number) => refused(() => parseValue(`1${' '.repeat(n)}x`, 'farads')), 5000],
    ['a type', (n: number) => refused(() => findDiode('1N'.repeat(n))), 500],
    [
      'a diode',
      (n: number) =>
        refused(() => parseSettingText({ ref: 'D1', kind: 'diode' }, `1x${' '.repeat(n)}\n`, {})),
      5000,
    ],
    [
      'a list of candidates',
      (n: number) => refused(() => candidatesFor(plain, ['R4'], `E12 ${'.'.repeat(n)} x`)),
      5000,
    ],
    ['brackets', (n: number) => refused(() => parseBuildFile('['.repeat(n))), 5000],
    ['keys', (n: number) => refused(() => parseBuildFile(fileOfKeys(n))), 500],
  ])('grows no faster than the text: %s', (_, run, length) => {
    expect(growsInProportion(run, length)).toBe(true);
  });
});

function fileOfKeys(count: number): string {
  const keys = Array.from({ length: count }, (_, n) => `"K${n}":1`);
  return `{"format":"cliplead-build","version":1,"circuit":"soft-clip","knobs":{${keys.join()}}}`;
}

function refused(read: () => unknown): void {
  expect(read).toThrow();
}
