import { deflateRawSync, inflateRawSync } from 'node:zlib';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { parseBuildFile, serialiseBuild } from '../../engine/builds/build-file.ts';
import { isShareLink, readShareLink, shareLink } from '../../ui/share/share-link.ts';
import { presetBuild } from '../preset-build.ts';

const PAGE = 'http://localhost:4180/';
const packedOf = (link: string) => link.split('#build=')[1]!;

describe('a link to a build', () => {
  it('holds the file: compressed as RFC 1951 says, in base64url as RFC 4648 says', async () => {
    const text = serialiseBuild(presetBuild('soft-plain'));
    const link = await shareLink(text, `${PAGE}#old`);
    expect(link).toMatch(/^http:\/\/localhost:4180\/#build=[A-Za-z0-9_-]+$/);
    // By another implementation of both.
    const unpacked = inflateRawSync(Buffer.from(packedOf(link), 'base64url')).toString('utf8');
    expect(JSON.parse(unpacked)).toEqual(JSON.parse(text));
    expect(serialiseBuild(parseBuildFile(await readShareLink(link)))).toBe(text);
  });

  it('is short enough to be sent: a preset takes less than 1,000 characters', async () => {
    for (const preset of ['soft-plain', 'clean-plain', 'cascade-plain'])
      expect((await shareLink(serialiseBuild(presetBuild(preset)), PAGE)).length).toBeLessThan(1000);
  });

  it('keeps any title', async () => {
    await fc.assert(
      fc.asyncProperty(fc.string({ unit: 'grapheme', maxLength: 60 }), async (title) => {
        const link = await shareLink(JSON.stringify({ title }), PAGE);
        expect(JSON.parse(await readShareLink(link))).toEqual({ title });
      }),
      { numRuns: 30 },
    );
  });

  it('is found in a pasted text', async () => {
    const link = await shareLink('{"a":1}', PAGE);
    expect(isShareLink(`Try this one: ${link} by Sunday`)).toBe(true);
    expect(await readShareLink(`Try this one: ${link} by Sunday`)).toBe('{"a":1}');
    expect(isShareLink('http://localhost:4180/#other')).toBe(false);
  });

  it('is refused in a sentence where it is cut or changed', async () => {
    const link = await shareLink(serialiseBuild(presetBuild('soft-plain')), PAGE);
    const damaged = /^The link is damaged: part of it is missing or changed\./;
    await expect(readShareLink(link.slice(0, -40))).rejects.toThrow(damaged);
    await expect(readShareLink(`${PAGE}#build=AAAA`)).rejects.toThrow(damaged);
    await expect(readShareLink(PAGE)).rejects.toThrow('The address holds no build that can be read.');
  });

  it('is refused where it would become a thousand times as large', async () => {
    const bomb = deflateRawSync(Buffer.alloc(60_000_000, 32)).toString('base64url');
    expect(bomb.length).toBeLessThan(100_000);
    await expect(readShareLink(`${PAGE}#build=${bomb}`)).rejects.toThrow(/^The link holds more than \d+ MB/);
  });

  it('is not read at all where it is longer than any address', async () => {
    expect(isShareLink(`#build=${'A'.repeat(2_000_000)}`)).toBe(false);
  });
});
