import { describe, expect, it } from 'vitest';
import { serialiseBuild } from '../../engine/builds/build-file.ts';
import { leftText, sortDropped } from '../../ui/dropped-files.ts';
import { presetBuild } from '../preset-build.ts';

const BUILD = serialiseBuild(presetBuild('soft-led'));

/** The kind that a single file is taken for. */
async function kindOf(file: File): Promise<string> {
  const { text, recording } = await sortDropped([file]);
  expect([text, recording]).toContain(file);
  return text === file ? 'text' : 'recording';
}

describe('files that are dropped together', () => {
  it.each([
    ['led.build.json', '', '', 'text'],
    ['LED.BUILD.JSON', '', '', 'text'],
    // A file that says it is a build is refused with the message for builds.
    ['led.json', 'not a build', '', 'text'],
    ['riff.wav', '', 'audio/wav', 'recording'],
    ['RIFF.FLAC', '', '', 'recording'],
    ['riff.WAV', BUILD, '', 'recording'],
    ['riff', 'RIFF....WAVEfmt ', '', 'recording'],
    ['riff', '', 'video/quicktime', 'recording'],
    ['led', BUILD, '', 'text'],
    ['led.txt', `\uFEFF\r\n  ${BUILD}`, 'text/plain', 'text'],
    ['led', BUILD, 'application/json', 'text'],
    ['drawer.csv', 'count,value', '', 'text'],
    // Refused as a text, not as a recording.
    ['notes.txt', 'nonsense', 'text/plain', 'text'],
    ['sheet.html', '<html>', 'text/html', 'text'],
    ['bags', '10x 4k7', 'text/csv', 'text'],
    ['empty', '', '', 'recording'],
  ])('are told apart: "%s" with %j of type "%s" is a %s', async (name, text, type, kind) => {
    expect(await kindOf(new File([text], name, { type }))).toBe(kind);
  });

  it('give one text and one recording, the first of each, and the message names the others', async () => {
    const files = ['one.json', 'one.wav', 'two.json', 'two.wav'].map((name) => new File(['x'], name));
    const { text, recording, left } = await sortDropped(files);
    expect([text?.name, recording?.name]).toEqual(['one.json', 'one.wav']);
    expect(leftText(left)).toMatch(/^Not used: "two\.json", "two\.wav"\. /);
    expect(leftText([])).toBeUndefined();
  });

  it('are listed in a short line if they are ignored, however many they are and however long their names', () => {
    const left = Array.from({ length: 200 }, (_, n) => new File([], `${n} ${'x'.repeat(5000)}.wav`));
    expect(leftText(left)).toMatch(/ and 197 more\. /);
    expect(leftText(left)?.length).toBeLessThan(200);
  });

  it('are taken as a recording if they cannot be read, such as a folder, and are then refused with a message', async () => {
    const folder = new File([], 'Takes');
    folder.slice = () => {
      throw new DOMException('A folder has no bytes.', 'NotFoundError');
    };
    expect(await kindOf(folder)).toBe('recording');
  });
});
